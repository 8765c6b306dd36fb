"""The manager's settings: what is missing, each step, opening and closing; from the first visit on."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue import own_workshop
from configurator.catalogue import workshop as workshops
from shop.jobs.access import staff
from shop.jobs.states import MANAGER
from shop.planning import usual
from shop.planning.wishes import ask_for_plan

from . import samples, selectors, service, steps
from .forms import TEXTS, LanguagesForm, LookForm, form_of
from .links import links_of
from .models import SettingChange, SiteState
from .steps import STEPS, Step
from .words import as_told, what_changed


def _state() -> SiteState:
    """Return the state; a running site that has none yet is open."""
    found = service.state()
    return found or SiteState(opened_at=None)


def _is_open(state: SiteState) -> bool:
    return state.pk is None or state.opened_at is not None


@staff(MANAGER)
@require_safe
def settings_list(request: HttpRequest) -> HttpResponse:
    """Show every step with what is missing, and the button that opens the site."""
    state = _state()
    found = selectors.needs(state, workshops.current())
    context = {
        "state": state,
        "is_open": _is_open(state),
        "blocking": [need for need in found if need.blocks],
        "advised": [need for need in found if not need.blocks],
        "steps": [(step, _mark(step, state, found)) for step in STEPS],
        "changes": [as_told(change) for change in selectors.last_changes()],
    }
    return render(request, "shop/opening/settings.html", context)


def _mark(step: Step, state: SiteState, found: list[selectors.Need]) -> str:
    mine = [need for need in found if need.step == step.id and "#" not in need.url]
    if any(need.blocks for need in mine):
        return "missing"
    return "look" if mine else "done"


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def setting(request: HttpRequest, step: str) -> HttpResponse:
    """Show and save one step."""
    if step not in steps.BY_ID:
        raise Http404("There is no such step.")
    one = steps.BY_ID[step]
    if one.fields:
        return _of_workshop(request, one)
    if step in ("languages", "look"):
        return _of_state(request, one)
    return _of_links(request, one)


def _of_workshop(request: HttpRequest, step: Step) -> HttpResponse:
    form_class, instance = form_of(step.id), workshops.current()
    if request.method == "POST" and "sample" in request.POST and step.id == "terms":
        return _show(request, step, _with_samples(form_class(request.POST.copy(), instance=instance)))
    form = form_class(request.POST or None, instance=instance, **_initial(step))
    if request.method != "POST" or not form.is_valid():
        return _show(request, step, form)
    checked = step.id != "terms" or form.cleaned_data["checked"]
    service.save_workshop(step.id, form.values(), form.texts(), by=_by(request), checked=checked)
    return _onward(request, step)


def _initial(step: Step) -> dict[str, Any]:
    return {"initial": {"checked": "terms" in _state().confirmed}} if step.id == "terms" else {}


def _with_samples(form: Any) -> Any:
    """Fill the empty texts with our samples; nothing is saved by that, and what was typed stays."""
    for name in form.fields:
        field, _dash, code = name.partition("-")
        if field in TEXTS and not form.data.get(name, "").strip():
            form.data[name] = samples.sample(field, code)
    for name in ("terms_version", "privacy_version"):
        if not form.data.get(name):
            form.data[name] = "1"
    form.full_clean()
    form.errors.clear()
    return form


def _of_state(request: HttpRequest, step: Step) -> HttpResponse:
    state = _state()
    form: forms.Form
    if step.id == "languages":
        form = LanguagesForm(request.POST or None, initial={"languages": state.languages or _all()})
    else:
        form = LookForm(request.POST or None, request.FILES or None, state=state)
    if request.method != "POST" or not form.is_valid():
        return _show(request, step, form)
    if step.id == "languages":
        service.save_state("languages", {"languages": form.cleaned_data["languages"]}, by=_by(request))
    else:
        _save_look(form.cleaned_data, by=_by(request))
    return _onward(request, step)


def _all() -> list[str]:
    return [code for code, _name in LanguagesForm().fields["languages"].choices]  # type: ignore[attr-defined]


def _save_look(data: dict[str, Any], *, by: str) -> None:
    service.save_state("look", {"accent": data["accent"]}, by=by)
    if data.get("logo") or data.get("remove_logo"):
        service.save_logo(data.get("logo") or None, by=by)


def _of_links(request: HttpRequest, step: Step) -> HttpResponse:
    """A step that is kept on pages of its own: bays and hours, people, vehicles and goods."""
    if request.method == "POST" and step.id == "places":
        usual.make_usual_places()
        ask_for_plan()
        messages.success(request, _("The usual hours and places are entered. Change what differs."))
        return redirect("shop:plan_setup")
    if request.method == "POST" and step.id == "catalogue":
        service.confirm("catalogue", by=_by(request))
        return _onward(request, step)
    if request.method == "POST":
        raise Http404("Nothing is saved here.")
    return _show(request, step, None)


def _show(request: HttpRequest, step: Step, form: Any) -> HttpResponse:
    state = _state()
    found = selectors.needs(state, workshops.current())
    number = STEPS.index(step)
    context = {
        "step": step,
        "form": form,
        "state": state,
        "is_open": _is_open(state),
        "needs": [need for need in found if need.step == step.id and "#" not in need.url],
        "number": number + 1,
        "before": STEPS[number - 1] if number else None,
        "next": STEPS[number + 1] if number + 1 < len(STEPS) else None,
        "count": len(STEPS),
        "links": links_of(step.id),
        "borrowed": step.id == "catalogue" and selectors.is_borrowed(state),
        "changes": [as_told(change) for change in selectors.last_changes(step, 5)],
    }
    return render(request, "shop/opening/setting.html", context, status=422 if form and form.errors else 200)


def _onward(request: HttpRequest, step: Step) -> HttpResponse:
    """Say it is saved; while setting up, go on to what is missing next."""
    state = _state()
    messages.success(request, _("Saved: %(step)s.") % {"step": step.name})
    if _is_open(state):
        return redirect("shop:settings")
    missing = {need.step for need in selectors.needs(state, workshops.current()) if "#" not in need.url}
    following = steps.after(step.id, missing)
    return redirect("shop:setting", following.id) if following else redirect("shop:settings")


@staff(MANAGER)
@require_POST
def undo(request: HttpRequest, change_id: int) -> HttpResponse:
    """Put back what a change replaced."""
    change = get_object_or_404(SettingChange, pk=change_id)
    if not change.before:
        raise Http404("An opening is not undone so: there is a button for it.")
    service.put_back(change.pk, by=_by(request))
    messages.success(request, _("Put back: %(what)s.") % {"what": what_changed(change)})
    return redirect("shop:setting", change.step)


@staff(MANAGER)
@require_POST
def open_or_close(request: HttpRequest, deed: str) -> HttpResponse:
    """Let customers in, or close the site to them."""
    if deed == "close":
        service.close_site(by=_by(request))
        messages.success(request, _("The site is closed to customers. They read that it is not open."))
        return redirect("shop:settings")
    own_workshop.begin()
    found = selectors.needs(service.begin(), workshops.current())
    try:
        service.open_site(by=_by(request), missing=selectors.blocking(found))
    except service.NotReadyError:
        messages.error(request, _("Something is still missing that customers would trip over: see the list."))
    else:
        messages.success(request, _("The site is open: customers can build and send."))
    return redirect("shop:settings")


def _by(request: HttpRequest) -> str:
    return request.user.get_username()
