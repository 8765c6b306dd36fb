"""One request at a build: what it holds, and how its answer is drawn."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django_htmx.http import trigger_client_event

from configurator.builds import service
from configurator.builds.colours import nearest_accents
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import BUILD_LINK, Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.workshop import texts_now

from . import drawing, lists
from .device import remember
from .differences import Row
from .forms import BuildForm
from .forms_contact import ConsentForm, ContactForm, stands, to_keep, typed
from .forms_values import values_of
from .gone import VehicleGoneError
from .pieces import pieces
from .posted import choices_digest
from .sections import section_of_field
from .turning import turn
from .views_live import Answer, live_context


@dataclass
class Page:
    """One request at a build: its forms, and what has been made of them so far.

    ``disputed`` is set when another tab stored something else meanwhile, ``elsewhere`` tells what;
    ``edited`` is set when a button changed fields that the browser must be told of.
    """

    request: HttpRequest
    spec: Spec
    catalogue: Catalogue
    contact: ContactForm
    consent: ConsentForm
    stored: Selection
    notes: list[str] = field(default_factory=list)
    changes: list[str] = field(default_factory=list)
    elsewhere: list[Row] = field(default_factory=list)
    disputed: bool = False
    photo_errors: list[str] = field(default_factory=list)
    refusal: str = ""
    edited: bool = False
    opened: str = ""
    status: int = 200

    @cached_property
    def form(self) -> BuildForm:
        """The form of all choices, bound to the post if there is one; made when it is first asked for."""
        return BuildForm(
            self.request.POST if self.request.method == "POST" else None,
            generation=self.catalogue.generations[self.stored.generation],
            catalogue=self.catalogue,
            selection=self.stored,
            nearest=lambda hex_: _nearest(hex_, self.catalogue),
        )

    @property
    def in_place(self) -> bool:
        """Whether a script asks and swaps only what changes."""
        return bool(self.request.htmx)  # type: ignore[attr-defined]

    @property
    def asked(self) -> Mapping[str, Any]:
        """What is asked of lists and sections: in the post, or in the address."""
        asked = self.request.POST or self.request.GET
        return {**asked.dict(), "open": self.opened} if self.opened else asked

    @property
    def pressed(self) -> str:
        """The button pressed; an update in place carries the last one along without meaning it."""
        if self.in_place and self.request.htmx.trigger_name != "do":  # type: ignore[attr-defined]
            return "update"
        return str(self.request.POST.get("do", "update")).partition(":")[0]

    @property
    def is_judged(self) -> bool:
        """Whether contact and consent are judged: when it is sent, and while its refusal stands there."""
        return self.request.method == "POST" and (
            self.pressed == "send" or (self.in_place and "asked" in self.request.POST)
        )


def open_page(request: HttpRequest, token: str) -> Page:
    """Read the build and bind its forms to the post, if there is one."""
    spec = get_object_or_404(Spec.objects.defer("evaluation"), BUILD_LINK.q(token))
    catalogue = snapshot.current()
    stored = Selection.model_validate(spec.selection)
    if stored.generation not in catalogue.generations:
        raise VehicleGoneError
    data = request.POST if request.method == "POST" else None
    versions = texts_now(catalogue.workshop)
    page = Page(request, spec, catalogue, ContactForm(), ConsentForm(versions=versions), stored)
    judged = data if page.is_judged else None
    page.contact = ContactForm(judged, initial=stands(spec.contact, data))
    page.consent = ConsentForm(judged, versions=versions)
    return page


def _nearest(wanted_hex: str, catalogue: Catalogue) -> str | None:
    ranked = nearest_accents(wanted_hex, catalogue.finishes.values())
    return ranked[0][0].code if ranked else None


def based_on(spec: Spec) -> str:
    """Return what differs when the stored build is not the one that a tab has seen."""
    seen = json.dumps([spec.selection, {k: v for k, v in spec.contact.items() if v}], sort_keys=True)
    return f"{zlib.crc32(seen.encode()):x}"


def save(page: Page, selection: Selection, *, as_posted: bool = False) -> Evaluation:
    """Keep the selection, and what was typed if that was ticked.

    ``as_posted`` says that the selection was read from the post as it came.
    """
    contact = to_keep(page.request.POST)
    posted = choices_digest(page.request.POST) if as_posted else ""
    evaluation = service.save_build(spec_id=page.spec.pk, selection=selection, contact=contact, posted=posted)
    page.spec.contact, page.spec.selection = contact, selection.model_dump(mode="json")
    return evaluation


def back_to(page: Page, *, opened: str = "", place: str = "") -> HttpResponse:
    """Show the build by a fresh request, so that reloading it sends nothing twice.

    What was typed and is not to be kept would be lost on the way: then the build is shown at once.
    """
    post = page.request.POST
    if page.request.method == "POST" and not to_keep(post) and any(typed(post).values()):
        return _show_at_once(page, opened)
    address = reverse("configurator:build", args=[page.spec.token])
    asked = "&".join(part for part in (lists.query(post), f"open={opened}" if opened else "") if part)
    return HttpResponseRedirect(address + (f"?{asked}" if asked else "") + (f"#{place}" if place else ""))


def _show_at_once(page: Page, opened: str) -> HttpResponse:
    """Answer a post with the stored build and all that was typed."""
    page.spec.refresh_from_db()
    page.stored, page.edited, page.opened = Selection.model_validate(page.spec.selection), True, opened
    return show(page, service.look_at(page.spec))


def show(page: Page, evaluation: Evaluation) -> HttpResponse:
    """Render the page, or for an update in place only what changes."""
    sending = page.pressed == "send"
    selection = evaluation.selection
    if page.edited:
        page.form = BuildForm(generation=page.form.generation, catalogue=page.catalogue, selection=selection)
    answer = Answer(
        page.spec,
        page.form,
        evaluation,
        page.catalogue,
        page.asked,
        page.notes,
        turn(page.stored, selection, page.catalogue),
        wrong=frozenset(_wrong(page, sending)),
    )
    context = live_context(answer) | _of_the_request(page) | {"sending": sending, "judged": page.is_judged}
    found = pieces(context, page.request.POST.get("seen"), page.request.COOKIES.get("units", ""))
    moved = selection != page.stored or page.pressed != "update"
    context |= {"fresh": found.fresh, "seen": found.seen, "moved": moved}
    if page.in_place:
        posted = {} if page.edited else page.request.POST
        context["changed_lists"] = lists.changed(context["part_lists"], posted)
        context["rear_changed"] = posted.get("rear_shown") != ("1" if page.form.rear_is_own else "0")
    else:
        context |= _around(page)
    template = "configurator/update.html" if page.in_place else "configurator/build.html"
    response = render(page.request, template, context, status=page.status)
    if page.in_place and page.edited:
        values = values_of(page.form, page.form.families, selection)
        trigger_client_event(response, "kerb:values", values, after="swap")
    return response


def _of_the_request(page: Page) -> dict[str, Any]:
    """Return what a template needs of the request itself: its forms, and what came between."""
    return {
        "contact": page.contact,
        "consent": page.consent,
        "changes": page.changes,
        "refusal": page.refusal,
        "elsewhere": page.elsewhere,
        "disputed": page.disputed,
        "based_on": page.request.POST.get("based_on") if page.disputed else based_on(page.spec),
        "forms": [page.form, page.contact, page.consent],
        "workshop_row": page.catalogue.workshop,
        "motorcycle": page.form.is_motorcycle,
    }


def _wrong(page: Page, sending: bool) -> set[str]:
    """Return the sections that hold a refused field."""
    wrong = {section_of_field(name, page.form) for name in page.form.errors} if page.form.is_bound else set()
    if sending:
        wrong.add("send")
    if page.photo_errors:
        wrong.add("photos")
    return wrong


def _around(page: Page) -> dict[str, object]:
    """Return what stands on the whole page only, and remember the build on this device."""
    if not page.spec.is_copy:
        remember(page.request, page.spec)
    return {
        "photos": page.spec.photos.all(),
        "photo_errors": page.photo_errors,
        "photo_limit": settings.KERBLINE_PHOTO_MAX_COUNT,
        "photo_bytes": settings.KERBLINE_PHOTO_MAX_BYTES,
        "photo_mb": settings.KERBLINE_PHOTO_MAX_BYTES // 1_000_000,
        "wheel_symbols": drawing.wheel_symbols(sorted({w.design for w in page.catalogue.wheels.values()})),
        "share_url": settings.SITE_URL + reverse("configurator:share", args=[page.spec.share_token]),
    }
