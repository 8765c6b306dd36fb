"""The build page: every post is a whole selection; the server answers what it makes of it.

A build is evaluated once a request: when it is saved, or where nothing is saved when it is shown.
"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import get_language, gettext
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST

from configurator.builds import changing, comparing, sending, service, suggest
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection

from . import differences, lists
from .bounded import builds_sentence, refused, too_many
from .forms_contact import to_keep, typed
from .gone import while_listed
from .page import Page, back_to, based_on, open_page, save, show
from .sections import section_of_token
from .sending import goes_as_shown, send, send_as_shown
from .sent import already_sent
from .told import told
from .views_looks import TAKING, begin_with, is_done


@require_POST
def begin(request: HttpRequest, generation: str) -> HttpResponse:
    """Start a build of a vehicle and go to its private link."""
    if wait := too_many(request, "builds"):
        return refused(request, builds_sentence(wait), wait)
    look = request.POST.get("look", "")
    try:
        spec = service.start_build(generation=generation, language=get_language() or "en-gb")
    except (KeyError, ValueError):
        return render(request, "404.html", status=404)
    if look:
        begin_with(request, spec, look)
    return HttpResponseRedirect(reverse("configurator:build", args=[spec.token]))


@cache_control(private=True, no_cache=True)
@require_http_methods(["GET", "HEAD", "POST"])
@while_listed
def build(request: HttpRequest, token: str) -> HttpResponse:
    """Show the build; take a change, make a proposed change, or send it."""
    page = open_page(request, token)
    if page.spec.sent_at:
        return _was_sent(page)
    if request.method != "POST":
        return show(page, _as_last_shown(page))
    try:
        return _take(page)
    except service.AlreadySentError:
        page.spec.refresh_from_db()
        return _was_sent(page)


def _was_sent(page: Page) -> HttpResponse:
    """Lead on from a build that was sent; a tab that did not know is told that its choice came too late."""
    if page.request.method == "POST" and page.form.is_valid():
        selection, _notes = suggest.follow_wheels(page.form.selection(), page.catalogue)
        if "change" in page.request.POST or selection != Selection.model_validate(page.spec.selection):
            late = gettext("This build had been sent already, so what you have just chosen is not in it.")
            wish = gettext("If it is to change, write to us on the page of your job.")
            messages.warning(page.request, f"{late} {wish}")
    return already_sent(page.request, page.spec)


def _as_last_shown(page: Page) -> Evaluation:
    """Evaluate the stored build as of today and note what has changed since it was last shown."""
    evaluation = service.look_at(page.spec)
    if page.spec.evaluation and page.spec.catalogue_version != evaluation.catalogue_version:
        page.changes = sending.what_changed(Evaluation.model_validate(page.spec.evaluation), evaluation)
    return evaluation


def _take(page: Page) -> HttpResponse:
    """Take a post: nothing is stored of a form that cannot be read."""
    if page.pressed == "send" and goes_as_shown(page):
        return send_as_shown(page)
    if not page.form.is_valid():
        page.status = 422
        return show(page, service.look_at(page.spec))
    selection, page.notes = suggest.follow_wheels(page.form.selection(), page.catalogue)
    page.form.follow(selection)
    if is_done(page, selection):
        return back_to(page, opened="looks")
    if page.pressed != "keep" and _was_changed_elsewhere(page, selection):
        return _ask_which(page, selection)
    page.notes += _changed_meanwhile(page)
    if "change" in page.request.POST:
        return _make_change(page, selection, page.request.POST["change"])
    if page.spec.is_copy:
        return _go_back(page, selection) if page.pressed == "back" else _save(page, selection)
    return ACTIONS.get(page.pressed, _save)(page, selection)


def _changed_meanwhile(page: Page) -> list[str]:
    """Say once what the workshop has changed of this build while its page stood open."""
    spec, version = page.spec, page.catalogue.version
    told_on_opening = page.request.POST.get("catalogue_version") == str(version)
    if told_on_opening or page.pressed == "send" or spec.catalogue_version == version or not spec.evaluation:
        return []
    changes = sending.what_changed(Evaluation.model_validate(spec.evaluation), service.look_at(spec))
    since = gettext("The workshop has changed something since you opened this page:")
    return [since, *changes] if changes else []


def _go_back(page: Page, selection: Selection) -> HttpResponse:
    """Keep what was chosen on a working copy and go back to the page it was begun from."""
    save(page, selection)
    return HttpResponseRedirect(page.spec.back_to)


def _was_changed_elsewhere(page: Page, selection: Selection) -> bool:
    """Whether another tab has stored something since this one was shown, and it is not the same."""
    seen = page.request.POST.get("based_on")
    if not seen or seen == based_on(page.spec):
        return False
    keeps = {name: text for name, text in to_keep(page.request.POST).items() if text}
    stored = {name: text for name, text in page.spec.contact.items() if text}
    return selection != page.stored or keeps != stored


def _ask_which(page: Page, selection: Selection) -> HttpResponse:
    """Store nothing; show this tab's choices and what the other one changed, and ask which is to stay."""
    evaluation = service.look(selection)
    there = Evaluation(selection=page.stored, catalogue_version=page.spec.catalogue_version)
    if page.spec.evaluation:
        there = Evaluation.model_validate(page.spec.evaluation)
    page.elsewhere = differences.rows(comparing.choices(comparing.compare(evaluation, there)))
    page.disputed = True
    page.status = 409
    return show(page, evaluation)


def _save(page: Page, selection: Selection) -> HttpResponse:
    evaluation = save(page, selection, as_posted=True)
    wrong = [problem for problem in evaluation.problems if not problem.asks]
    if wrong:
        page.status = 422
        page.form.show_problems(wrong)
    elif not page.in_place:
        _tell(page)
        name = lists.pressed(page.request.POST)
        section = str(page.request.POST.get("do", "")).partition(":")[2]
        if name:
            return back_to(page, opened="wheels", place=f"list-{name}")
        return back_to(page, opened=section, place=f"s-{section}" if section else "")
    return show(page, evaluation)


def _tell(page: Page) -> None:
    for note in page.notes:
        messages.info(page.request, told(note))


def _make_change(page: Page, selection: Selection, text: str) -> HttpResponse:
    """Make the change that a button names; one that the catalogue no longer knows changes nothing."""
    edit = changing.read(text)
    if edit is None or not changing.known(edit, page.catalogue):
        page.notes.append(gettext("That change is no longer needed; nothing was changed."))
        changed = selection
    else:
        changed = changing.apply(selection, edit, page.catalogue)
        changed, more = suggest.follow_wheels(changed, page.catalogue)
        page.notes += more
    evaluation = save(page, changed)
    page.edited = True
    if page.in_place:
        return show(page, evaluation)
    _tell(page)
    token = next(iter((*(edit.add if edit else ()), *(edit.drop if edit else ()))), "")
    section = section_of_token(token, page.catalogue) if token else ""
    return back_to(page, opened=section, place=f"s-{section}" if section else "")


def _name(page: Page, selection: Selection) -> HttpResponse:
    save(page, selection)
    service.name_build(spec_id=page.spec.pk, name=page.request.POST.get("build_name", ""))
    return back_to(page, opened="keep", place="s-keep")


def _duplicate(page: Page, selection: Selection) -> HttpResponse:
    save(page, selection)
    if wait := too_many(page.request, "builds"):
        return refused(page.request, builds_sentence(wait), wait)
    copy = service.duplicate_build(spec_id=page.spec.pk)
    messages.success(page.request, gettext("This is a copy; the first build stays as it was."))
    if any(typed(page.request.POST).values()) and not to_keep(page.request.POST):
        told_not_kept = gettext("Your contact details were not to be kept, so they are not on the copy.")
        messages.info(page.request, told_not_kept)
    return HttpResponseRedirect(reverse("configurator:build", args=[copy.token]))


def _unshare(page: Page, selection: Selection) -> HttpResponse:
    save(page, selection)
    service.take_back_share(spec_id=page.spec.pk)
    messages.success(page.request, gettext("The link you showed opens nothing any more; here is a new one."))
    return back_to(page, opened="keep", place="s-keep")


ACTIONS = {"send": send, "name": _name, "duplicate": _duplicate, "unshare": _unshare, **TAKING}
