"""A visitor's browser without the browser, at the demonstration workshop."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client

from configurator.builds.models import BUILD_LINK
from configurator.models import Spec, Workshop

WHEEL, SPACER = "torvik-8x18-5x112-et50-gloss-black", "sp-5x112-666-15"
CONTACT = {
    "name": "Ida Holm",
    "email": "ida@customer.example",
    "phone": "+49 171 39200 23",
    "registration": "XQ XY 123",
    "notes": "Please ring before noon.",
    "consent": "on",
}


class Visitor:
    """One visitor with one build of the demonstration van."""

    def __init__(self, client: Client, generation: str = "haldor-2") -> None:
        self.client = client
        answer = client.post(f"/begin/{generation}/")
        self.url = answer["Location"]

    @property
    def spec(self) -> Spec:
        """The build as it is stored now."""
        return Spec.objects.get(BUILD_LINK.q(self.url.split("/")[2]))

    def page(self) -> str:
        """The whole page."""
        return self.client.get(self.url).content.decode()

    def fields(self, **changes: Any) -> dict[str, Any]:
        """What a browser would post: the form of a small sendable build, with changes; None leaves out."""
        values = {
            "catalogue_version": str(self.spec.catalogue_version),
            "terms_version": Workshop.objects.get().terms_version,
            "privacy_version": Workshop.objects.get().privacy_version,
            "body_finish": "tarnside-green",
            "wheel": WHEEL,
            "tyre": "haul-225-50r18c-108-106t",
            "spacer": SPACER,
            "accent": "ember-orange",
            "accent_wanted": "#2f6f8f",
            "f-front-bumper": "standard-bumper",
            "f-calipers": ["calipers-front"],
            **changes,
        }
        return {name: value for name, value in values.items() if value is not None}

    def post(self, *, in_place: bool = False, **changes: Any) -> HttpResponse:
        """Post the form, as a plain submit or as htmx does."""
        headers = {"HX-Request": "true"} if in_place else {}
        return self.client.post(self.url, self.fields(**changes), headers=headers)  # type: ignore[return-value]

    def send(self, **changes: Any) -> HttpResponse:
        """Update, then press the button that sends."""
        self.post(**{**CONTACT, **changes})
        return self.post(**{**CONTACT, "do": "send", **changes})


@pytest.fixture
def visitor(client: Client, demo_catalogue: Any) -> Visitor:
    """A visitor who has begun a build of the van."""
    return Visitor(client)
