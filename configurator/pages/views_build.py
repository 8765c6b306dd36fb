"""The build page: every post is a whole selection; the server answers what it makes of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import get_language, gettext
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST

from configurator.builds import changing, service, suggest
from configurator.builds.colours import nearest_accents
from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.catalogue.snapshot import Catalogue

from . import drawing, lists
from .forms import BuildForm
from .forms_contact import ConsentForm, ContactForm, kept
from .sent import already_sent, onwards, remember_sent
from .told import told
from .views_live import live_context


@dataclass
class Page:
    """One request at a build: its forms, and what has been made of them so far."""

    request: HttpRequest
    spec: Spec
    catalogue: Catalogue
    form: BuildForm
    contact: ContactForm
    consent: ConsentForm
    notes: list[str] = field(default_factory=list)
    changes: list[str] = field(default_factory=list)
    photo_errors: list[str] = field(default_factory=list)
    status: int = 200


def open_page(request: HttpRequest, token: str) -> Page:
    """Read the build and bind its forms to the post, if there is one."""
    spec = get_object_or_404(Spec, token=token)
    catalogue = snapshot.current()
    stored = Selection.model_validate(spec.selection)
    generation = catalogue.generations.get(stored.generation)
    if generation is None:
        raise VehicleGoneError
    data = request.POST if request.method == "POST" else None
    terms_version = catalogue.workshop.terms_version if catalogue.workshop else ""
    form = BuildForm(
        data,
        generation=generation,
        catalogue=catalogue,
        selection=stored,
        nearest=lambda hex_: _nearest(hex_, catalogue),
    )
    sending = data is not None and _pressed(request) == "send"
    contact = ContactForm(data if sending else None, initial=kept(data) if data else spec.contact)
    consent = ConsentForm(data if sending else None, terms_version=terms_version)
    return Page(request, spec, catalogue, form, contact, consent)


class VehicleGoneError(Exception):
    """The workshop no longer lists the vehicle that the build is for."""


def _nearest(wanted_hex: str, catalogue: Catalogue) -> str | None:
    ranked = nearest_accents(wanted_hex, catalogue.finishes.values())
    return ranked[0][0].code if ranked else None


@require_POST
def begin(request: HttpRequest, generation: str) -> HttpResponse:
    """Start a build of a vehicle and go to its private link."""
    try:
        spec = service.start_build(generation=generation, language=get_language() or "en-gb")
    except (KeyError, ValueError):
        return render(request, "404.html", status=404)
    return HttpResponseRedirect(reverse("configurator:build", args=[spec.token]))


@cache_control(private=True, no_cache=True)
@require_http_methods(["GET", "HEAD", "POST"])
def build(request: HttpRequest, token: str) -> HttpResponse:
    """Show the build; take a change, make a proposed change, or send it."""
    try:
        page = open_page(request, token)
    except VehicleGoneError:
        return render(request, "configurator/gone.html", status=410)
    if page.spec.sent_at:
        return already_sent(request, page.spec)
    if request.method != "POST":
        return show(page, _as_last_shown(page))
    try:
        return _take(page)
    except service.AlreadySentError:
        page.spec.refresh_from_db()
        return already_sent(request, page.spec)


def _as_last_shown(page: Page) -> Evaluation:
    """Evaluate the stored build as of today and note what has changed since it was last shown."""
    evaluation = service.look_at(page.spec)
    if page.spec.evaluation and page.spec.catalogue_version != evaluation.catalogue_version:
        page.changes = service.what_changed(Evaluation.model_validate(page.spec.evaluation), evaluation)
    return evaluation


def _take(page: Page) -> HttpResponse:
    """Take a post: nothing is stored of a form that cannot be read."""
    if not page.form.is_valid():
        page.status = 422
        page.spec.contact = kept(page.request.POST)
        return show(page, service.look_at(page.spec))
    selection, page.notes = suggest.follow_wheels(page.form.selection(), page.catalogue)
    page.form.follow(selection)
    wanted_change = page.request.POST.get("change")
    if wanted_change:
        return _make_change(page, selection, wanted_change)
    return ACTIONS.get(_pressed(page.request), _save)(page, selection)


def _pressed(request: HttpRequest) -> str:
    """Return the button pressed; an update in place carries the last one along without meaning it."""
    in_place = request.htmx and request.htmx.trigger_name != "do"  # type: ignore[attr-defined]
    return "update" if in_place else request.POST.get("do", "update")


def _save(page: Page, selection: Selection) -> HttpResponse:
    evaluation = save(page, selection)
    if evaluation.problems:
        page.status = 422
        page.form.show_problems(evaluation.problems)
    elif not page.request.htmx:  # type: ignore[attr-defined]
        return back_to(page)
    return show(page, evaluation)


def back_to(page: Page) -> HttpResponse:
    """Show the build by a fresh request, so that reloading it sends nothing twice."""
    for note in page.notes:
        messages.info(page.request, told(note))
    address = reverse("configurator:build", args=[page.spec.token])
    asked, pressed = lists.query(page.request.POST), lists.pressed(page.request.POST)
    query, place = f"?{asked}" if asked else "", f"#list-{pressed}" if pressed else ""
    return HttpResponseRedirect(address + query + place)


def save(page: Page, selection: Selection) -> Evaluation:
    """Keep the selection and what was typed."""
    contact = kept(page.request.POST)
    page.spec.contact = contact
    return service.save_build(spec_id=page.spec.pk, selection=selection, contact=contact)


def _make_change(page: Page, selection: Selection, name: str) -> HttpResponse:
    """Make a change that the evaluation of this very selection proposes."""
    change = changing.proposed(evaluate(selection, page.catalogue), name)
    if change is None:
        page.notes.append(gettext("That change is no longer needed; nothing was changed."))
    else:
        want = None if name.startswith(("conflict:", f"{changing.TAKE}:")) else name
        selection, more = suggest.follow_wheels(changing.apply(selection, change, want=want), page.catalogue)
        page.notes += more
    save(page, selection)
    if not page.request.htmx:  # type: ignore[attr-defined]
        return back_to(page)
    fresh = open_page_as_get(page)
    fresh.notes = page.notes
    return show(fresh, service.look_at(fresh.spec), whole=True)


def open_page_as_get(page: Page) -> Page:
    """Return the page as a fresh visit would see it."""
    spec = Spec.objects.get(pk=page.spec.pk)
    form = BuildForm(
        generation=page.form.generation,
        catalogue=page.catalogue,
        selection=Selection.model_validate(spec.selection),
    )
    contact = ContactForm(initial=spec.contact)
    consent = ConsentForm(terms_version=page.consent.current)
    return Page(page.request, spec, page.catalogue, form, contact, consent)


def _send(page: Page, selection: Selection) -> HttpResponse:
    """Send what was shown; whatever differs from it is shown first and asked again."""
    seen = page.request.POST.get("catalogue_version") == str(page.catalogue.version)
    unchanged = selection == Selection.model_validate(page.spec.selection)
    evaluation = save(page, selection) if seen or not unchanged else service.look_at(page.spec)
    valid = page.contact.is_valid() & page.consent.is_valid()
    page.form.show_problems(evaluation.problems)
    if not unchanged:
        page.changes = [gettext("You changed something since the last price. This is the new one.")]
    if not valid or not unchanged or not evaluation.sendable:
        page.status = 422
        return show(page, evaluation)
    return _freeze(page, evaluation)


def _freeze(page: Page, evaluation: Evaluation) -> HttpResponse:
    workshop = page.catalogue.workshop
    try:
        sent = service.send_build(
            spec_id=page.spec.pk,
            contact=page.contact.contact(),
            terms_version=workshop.terms_version if workshop else "",
            terms_text=workshop.terms if workshop else "",
        )
    except service.StaleBuildError as stale:
        page.changes, page.status = stale.changes, 409
        return show(page, stale.evaluation)
    except service.NotSendableError as refused:
        page.status = 422
        return show(page, refused.evaluation)
    remember_sent(page.request, page.spec, sent.next_url)
    return onwards(page.request, sent.next_url)


def _name(page: Page, selection: Selection) -> HttpResponse:
    save(page, selection)
    service.name_build(spec_id=page.spec.pk, name=page.request.POST.get("build_name", ""))
    return HttpResponseRedirect(reverse("configurator:build", args=[page.spec.token]) + "#keep")


def _duplicate(page: Page, selection: Selection) -> HttpResponse:
    save(page, selection)
    copy = service.duplicate_build(spec_id=page.spec.pk)
    messages.success(page.request, gettext("This is a copy; the first build stays as it was."))
    return HttpResponseRedirect(reverse("configurator:build", args=[copy.token]))


ACTIONS = {"send": _send, "name": _name, "duplicate": _duplicate}


def show(page: Page, evaluation: Evaluation, *, whole: bool = False) -> HttpResponse:
    """Render the page, or for an update in place only what changes."""
    asked = page.request.POST or page.request.GET
    context = live_context(page.spec, evaluation, page.catalogue, page.form, asked, page.notes)
    context |= {
        "changed_lists": lists.changed(context["part_lists"], asked),
        "contact": page.contact,
        "consent": page.consent,
        "changes": page.changes,
        "forms": [page.form, page.contact, page.consent],
        "workshop_row": page.catalogue.workshop,
        "motorcycle": page.form.is_motorcycle,
    }
    sending = _pressed(page.request) == "send"
    in_place = page.request.htmx and not (whole or sending)  # type: ignore[attr-defined]
    if not in_place:
        context |= _around(page)
    template = "configurator/update.html" if in_place else "configurator/build.html"
    return render(page.request, template, context, status=page.status)


def _around(page: Page) -> dict[str, object]:
    """Return what stands on the whole page only, and remember the build on this device."""
    remember(page.request, page.spec.token)
    return {
        "photos": page.spec.photos.all(),
        "photo_errors": page.photo_errors,
        "photo_limit": settings.KERBLINE_PHOTO_MAX_COUNT,
        "photo_mb": settings.KERBLINE_PHOTO_MAX_BYTES // 1_000_000,
        "wheel_symbols": drawing.wheel_symbols(sorted({w.design for w in page.catalogue.wheels.values()})),
        "share_url": settings.SITE_URL + reverse("configurator:share", args=[page.spec.share_token]),
    }


def remember(request: HttpRequest, token: str) -> None:
    """Keep the token among this browser's last builds."""
    known = request.session.get("builds", [])
    if token not in known[:1]:
        request.session["builds"] = [token, *(t for t in known if t != token)][:10]
