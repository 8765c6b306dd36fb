"""Inbox, list of jobs, one job, and the buttons of a job."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from . import selectors
from .access import job_or_404, sees_customer, staff, visible_jobs
from .actions import BY_NAME, offered
from .changes import PROPOSERS
from .csv_list import csv_of
from .errors import JobError, UnmetError
from .evaluations import evaluation_of
from .forms import ActForm, FindForm
from .inbox import inbox as needing
from .links import tracking_path
from .models import Job
from .models_lines import Entry
from .refusing import already, said_so
from .roles import roles_of
from .settled import standing
from .signals import Notice, customers_asked, inbox_opened, notices_of
from .states import ORDER, STAFF_ROLES, State

PAGE = 20
MOST_FOUND = 500


@staff()
@require_safe
def inbox(request: HttpRequest) -> HttpResponse:
    """What needs this person now, or what waits for somebody else; a page at a time."""
    waiting = request.GET.get("show") == "waiting"
    found = needing(request.user, waiting=waiting, page=request.GET.get("page"))
    context = {
        "inbox": found,
        "page": found.page,
        "waiting": waiting,
        "kept": "show=waiting" if waiting else "",
        "roles": sorted(roles_of(request.user)),
        "notices": [answer for _, answer in inbox_opened.send(Job, user=request.user) if answer],
    }
    return render(request, "shop/jobs/inbox.html", context)


def _wanted(form: FindForm) -> selectors.Wanted:
    """Return what the form asks for; a form with something wrong in it asks for everything."""
    if not form.is_bound or not form.is_valid():
        return selectors.Wanted()
    data = form.cleaned_data
    return selectors.Wanted(data["q"], data["state"], data["only"], data["sort"] or "newest")


@staff()
@require_safe
def jobs(request: HttpRequest) -> HttpResponse:
    """The jobs this person sees: found by anything at hand, filtered, sorted, a page at a time."""
    form = FindForm(request.GET or None)
    wanted = _wanted(form)
    found = selectors.found_jobs(request.user, wanted)
    pages = Paginator(found.values_list("pk", flat=True), PAGE)
    if wanted.words:
        # Who looks for something wants the first pages; all of a word that every job has is not counted.
        pages.count = found[: MOST_FOUND + 1].count()
    more = bool(wanted.words) and pages.count > MOST_FOUND
    if more:
        pages.count = MOST_FOUND
    page = pages.get_page(request.GET.get("page"))
    counts = selectors.count_by_state(request.user)
    shown = selectors.in_order(page.object_list)
    context = {
        "form": form,
        "page": page,
        "more": more,
        "jobs": shown,
        "customers": _whose(request, shown) if wanted.words else [],
        "states": [(each, counts[each]) for each in State if counts.get(each)],
        "wanted": wanted,
        "may_enter": sees_customer(request.user),
        "is_narrowed": bool(wanted.words or wanted.state or wanted.only),
        "kept": urlencode([(name, request.GET[name]) for name in form.fields if request.GET.get(name)]),
    }
    return render(request, "shop/jobs/list.html", context, status=422 if form.errors else 200)


def _whose(request: HttpRequest, shown: list[Job]) -> list[Notice]:
    """Return the records of the customers of the jobs that were found, for those who see customers."""
    if not sees_customer(request.user):
        return []
    found: list[Notice] = []
    for _receiver, answer in customers_asked.send(Job, jobs=shown):
        found.extend(row for row in answer or [] if isinstance(row, Notice))
    return found


@staff()
@require_safe
def jobs_csv(request: HttpRequest) -> HttpResponseBase:
    """The same list whole, as a file for a spreadsheet."""
    form = FindForm(request.GET or None)
    wanted = _wanted(form)
    if form.errors:
        return jobs(request)
    found = selectors.found_jobs(request.user, wanted)
    return csv_of(found, with_contact=sees_customer(request.user))


@staff()
@require_safe
def job(request: HttpRequest, number: str) -> HttpResponse:
    """One job: where it stands, what is next, what happened."""
    return render(request, "shop/jobs/job.html", job_context(request, job_or_404(request, number)))


def job_context(request: HttpRequest, found: Job) -> dict[str, Any]:
    """Return what the pages of one job share."""
    roles = roles_of(request.user)
    evaluation = evaluation_of(found.revision)
    return {
        "job": found,
        "revision": found.revision,
        "evaluation": evaluation,
        "standing": standing(found, evaluation),
        "offered": offered(found, roles),
        "history": found.history.select_related("user").order_by("-pk"),
        "steps": steps(found),
        "notices": notices_of([found]).get(found.pk, []) if sees_customer(request.user) else [],
        "sees_customer": sees_customer(request.user),
        "may_propose": bool(roles & PROPOSERS),
        "entry": Entry.objects.filter(job=found).select_related("follows").first(),
        "visits": Job.objects.filter(entry__follows=found).order_by("pk"),
        "tracking_url": request.build_absolute_uri(tracking_path(found)),
        "links": links(found, sees_customer(request.user)),
    }


def steps(found: Job) -> list[tuple[State, str]]:
    """Return the states in order with how the timeline marks each."""
    if found.state not in ORDER:
        return []
    here = ORDER.index(State(found.state))
    shown = [state for state in ORDER if state not in (State.WAITING, State.AGREED) or state == found.state]
    return [
        (state, "is-done" if ORDER.index(state) < here else "is-now" if state == found.state else "")
        for state in shown
    ]


def links(found: Job, with_customer: bool) -> list[tuple[str, str]]:
    """Return the job's pages in other parts of the workshop that exist and that this person may open."""
    named = [(_("Parts"), "shop:job_parts"), (_("Papers"), "shop:job_documents")]
    if with_customer:
        named.insert(0, (_("Dates"), "shop:job_dates"))
        unread = found.messages.filter(from_customer=True, read_at=None).count()
        named.insert(1, (_("Money"), "shop:job_money"))
        named.append(
            (_("Messages (%(n)s new)") % {"n": unread} if unread else _("Messages"), "shop:job_messages")
        )
    return [(label, address) for label, name in named if (address := _address(name, found.number))]


def _address(name: str, number: str) -> str:
    try:
        return reverse(name, args=[number])
    except NoReverseMatch:
        return ""


@staff(*STAFF_ROLES)
@require_POST
def act(request: HttpRequest, number: str) -> HttpResponse:
    """Do what a button says; on refusal show the page again with the message and what was typed."""
    found = job_or_404(request, number)
    form = ActForm(request.POST)
    if not form.is_valid():
        typed, field = str(request.POST.get("why", "")), "why" if "why" in form.errors else ""
        name = str(request.POST.get("action", ""))
        return refused(request, found, name, form.errors_text(), typed, 400, field)
    action = BY_NAME[form.cleaned_data["action"]]
    why = form.cleaned_data["why"]
    try:
        did = action.do(
            job=found,
            by=request.user,
            why=why,
            version=form.cleaned_data["version"],
            revision_id=form.cleaned_data["revision"],
            seen=form.cleaned_data["seen"],
        )
    except JobError as error:
        found.refresh_from_db()
        field = error.field if isinstance(error, UnmetError) else ""
        return refused(request, found, action.name, str(error), why, error.status, field)
    found.refresh_from_db()
    if not did and why and not said_so(request, found, why):
        # Somebody was quicker with words of their own: these are not dropped unseen.
        return refused(request, found, action.name, already(request, found), why, 409)
    _tell(request, found, str(action.label), did)
    target = "shop:review" if action.name == "take" else "shop:job"
    visible = visible_jobs(request.user).filter(pk=found.pk).exists()
    return redirect(reverse(target, args=[number]) if visible else reverse("shop:inbox"))


def _tell(request: HttpRequest, found: Job, label: str, did: bool) -> None:
    if did:
        messages.success(
            request,
            _("%(number)s: %(done)s. It is now “%(state)s”.")
            % {"number": found.number, "done": label, "state": found.get_state_display()},
        )
        return
    messages.info(request, already(request, found))


def refused(
    request: HttpRequest, found: Job, name: str, message: str, typed: str, status: int, field: str = ""
) -> HttpResponse:
    """Show the job again with the message at the button that was pressed."""
    context = job_context(request, found)
    shown = False
    for each in context["offered"]:
        if each.action.name == name:
            each.errors, each.typed, shown = {field or "action": message}, typed, True
    if not shown or not field:
        context["refusal"] = message
        context["refused_text"] = "" if shown else typed
    return render(request, "shop/jobs/job.html", context, status=status)
