"""A vehicle's drawing has a history: who drew it when, the way back, and files that would put it back."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from configurator.catalogue import amending, history, loader
from configurator.catalogue.going_live import NotLiveError
from configurator.catalogue.loader import NewerEditsError
from configurator.catalogue.models import Generation
from configurator.catalogue.snapshot import Catalogue
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def loaded(folder: Path, demo_catalogue: Catalogue) -> Path:
    """Return the files that what is live was loaded from."""
    return folder


@pytest.fixture
def anke() -> Any:
    return factories.staff("manager", name="anke")


def body() -> dict[str, Any]:
    return Generation.objects.get(code="haldor-2").body


def drawn(by: Any, **changes: Any) -> Any:
    """Draw the van a little otherwise."""
    shapes = copy.deepcopy(body()) | changes
    return amending.draw("haldor-2", shapes, by=by, title="Haldor II")


@pytest.mark.long
def test_who_drew_it_stands_on_its_page_and_the_drawing_before_comes_back(loaded: Path, anke: Any) -> None:
    before = body()
    made = drawn(anke, name="Haldor, seen better")
    assert drawn(anke) is None, "the same again is no change"
    client = Client()
    client.force_login(anke)
    page = client.get(reverse("shop:vehicle", args=["haldor-2"])).content.decode()
    assert "Who drew it" in page
    assert "anke" in page
    version = client.get(reverse("shop:range_version", args=[made.pk])).content.decode()
    assert "drawn anew" in version
    assert "seen better" not in version
    client.post(reverse("shop:range_take_back", args=[made.pk]))
    assert body() == before
    (back, first) = history.of_row(history.DRAWING, "haldor-2")
    assert (back.release.origin, back.release.takes_back) == ("back", first.release)


def test_what_was_drawn_again_since_is_left_to_a_person(loaded: Path, anke: Any) -> None:
    first = drawn(anke, name="One")
    drawn(anke, name="Two")
    with pytest.raises(NotLiveError):
        amending.take_back(release_id=first.pk, by=anke)
    assert body()["name"] == "Two"


@pytest.mark.long
def test_files_do_not_put_a_newer_drawing_back_unasked(loaded: Path, anke: Any) -> None:
    drawn(anke, name="Drawn at the desk")
    with pytest.raises(NewerEditsError) as caught:
        loader.load(loaded)
    assert "The drawing of ‘haldor-2’ was changed by anke" in str(caught.value)
    assert body()["name"] == "Drawn at the desk"
    # The same drawing in the files differs in nothing; or it is said that the files count.
    path = loaded / "bodies" / "haldor-2.json"
    old = path.read_text()
    path.write_text(json.dumps(body()))
    loader.load(loaded)
    path.write_text(old)
    loader.load(loaded, over_newer=True)
    assert body()["name"] != "Drawn at the desk"
