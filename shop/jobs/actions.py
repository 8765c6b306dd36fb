"""The buttons of a job: which there are, for whom, when, and what each one does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.dispatch import Signal
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from . import agreement, service
from .holds import HOLDS
from .models import Job
from .roles import By
from .said import worded
from .signals import answers, before_handover
from .states import CLOSED, MANAGER, MOVES, REVIEWER, STAFF_ROLES, TECHNICIAN, State

Do = Callable[..., bool]


@dataclass(frozen=True)
class Action:
    """One button. ``why`` labels the reason it asks for; ``why_optional`` when it may stay empty."""

    name: str
    label: str | Promise
    do: Do
    to: State | None = None
    sources: frozenset[State] = frozenset()
    roles: frozenset[str] = frozenset()
    why: str | Promise = ""
    why_optional: bool = False
    help: str | Promise = ""
    tone: str = ""
    asks: Signal | None = None
    """A question whose answers are warnings: with one, a reason must be given."""

    def is_open(self, job: Job, roles: frozenset[str]) -> bool:
        """Whether someone with these roles is shown it for this job."""
        if self.sources and job.state not in self.sources:
            return False
        if self.to is None:
            return bool(roles & self.roles) and (bool(self.sources) or job.state not in CLOSED)
        step = MOVES.get((job.state, self.to.value))
        return step is not None and bool(step.roles & roles)

    def obstacle(self, job: Job) -> str:
        """Return what must hold and does not, yet; agreeing says so itself."""
        step = MOVES.get((job.state, self.to.value)) if self.to else None
        if step is None or self.to == State.AGREED:
            return ""
        return next((message for name in step.holds if (message := HOLDS[name](job))), "")


@dataclass
class Offered:
    """An action as shown on one job's page."""

    action: Action
    obstacle: str = ""
    warning: str = ""
    errors: dict[str, str] = field(default_factory=dict)
    typed: str = ""
    dates: service.PlannedDates | None = None
    """What the button would fix, where it fixes dates."""


def _plain(function: Do) -> Do:
    def do(*, job: Job, by: By, why: str, version: int | None, revision_id: int | None, **_: Any) -> bool:
        return function(job_id=job.pk, by=by, version=version)

    return do


def _with(function: Do, name: str = "why", versioned: bool = True) -> Do:
    def do(*, job: Job, by: By, why: str, version: int | None, revision_id: int | None, **_: Any) -> bool:
        extra: dict[str, Any] = {"version": version} if versioned else {}
        return function(job_id=job.pk, by=by, **{name: why}, **extra)

    return do


def _confirm(*, job: Job, by: By, why: str, version: int | None, revision_id: int | None, **_: Any) -> bool:
    return agreement.agree_as_workshop(
        job_id=job.pk, revision_id=revision_id or 0, by=by, why=why, version=version
    )


def _book(
    *, job: Job, by: By, why: str, version: int | None, revision_id: int | None, seen: str = ""
) -> bool:
    return service.book(job_id=job.pk, by=by, version=version, seen=seen)


def _hold(*, job: Job, by: By, why: str, version: int | None, revision_id: int | None, **_: Any) -> bool:
    return service.hold(job_id=job.pk, by=by, reason=why, version=version)


_S = State
ACTIONS = (
    Action("take", _("Take into review"), _plain(service.take_into_review), _S.IN_REVIEW,
           frozenset({_S.SENT}), tone="main"),
    Action("confirm", _("Confirm this revision"), _confirm, _S.AGREED, frozenset({_S.IN_REVIEW}),
           why=_("On what condition, if any"), why_optional=True, tone="main",
           help=_("Agreed to by both, the deposit is asked for. "
                  "After a change the customer is asked first.")),
    Action("ask", _("Ask the customer"), _with(agreement.ask_customer, "question"), _S.WAITING,
           why=_("What do you want to ask or tell?")),
    Action("back", _("Take back into review"), _plain(service.take_into_review), _S.IN_REVIEW,
           frozenset({_S.WAITING})),
    Action("reopen", _("Open for changes again"), _with(service.reopen), _S.IN_REVIEW,
           frozenset({_S.AGREED, _S.DEPOSIT_DUE}), why=_("Why?")),
    Action("order", _("Everything is on order"), _plain(service.order_parts), _S.PARTS_ON_ORDER),
    Action("arrived", _("Everything is here"), _plain(service.parts_arrived), _S.PARTS_IN, tone="main"),
    Action("book", _("Book the planned dates"), _book, _S.BOOKED, tone="main",
           help=_("The customer is told when to bring the vehicle.")),
    Action("start", _("Start work"), _plain(service.start_work), _S.IN_THE_BAY,
           frozenset({_S.BOOKED}), tone="main"),
    Action("ready", _("Ready: call the customer"), _plain(service.make_ready), _S.READY, tone="main"),
    Action("hand-over", _("Hand over"), _with(service.hand_over), _S.HANDED_OVER, tone="main",
           asks=before_handover),
    Action("back-to-bay", _("Back to the bay"), _with(service.back_in_the_bay), _S.IN_THE_BAY,
           frozenset({_S.READY}), why=_("What is still to be done?")),
    Action("recheck", _("Wheel fasteners checked again"), _with(service.recheck, "note", False),
           sources=frozenset({_S.HANDED_OVER}), roles=frozenset({REVIEWER, TECHNICIAN, MANAGER}),
           why=_("What was found, at how many kilometres"), tone="main"),
    Action("hold", _("Put on hold"), _hold, roles=frozenset(STAFF_ROLES), why=_("What is it waiting for?")),
    Action("release", _("Lift the hold"), _plain(service.release), roles=frozenset(STAFF_ROLES)),
    Action("renew-link", _("Send the customer a new link"), _plain(service.renew_link),
           roles=frozenset({REVIEWER, MANAGER}), help=_("The old private link stops working at once.")),
    Action("decline", _("Decline"), _with(service.decline), _S.DECLINED,
           why=_("Reason, as the customer reads it"), tone="stop"),
    Action("cancel", _("Cancel for the customer"), _with(service.cancel), _S.CANCELLED, why=_("Reason"),
           tone="stop"),
)  # fmt: skip
BY_NAME = {action.name: action for action in ACTIONS}


def _warnings(action: Action, job: Job) -> str:
    """Return what the rooms above warn of before it is done, in the reader's language."""
    return " ".join(worded(one, job) for one in answers(action.asks, job)) if action.asks else ""


def offered(job: Job, roles: frozenset[str]) -> list[Offered]:
    """Return what someone with these roles may do with the job now."""
    found = [action for action in ACTIONS if action.is_open(job, roles)]
    unwanted = {"hold" if job.is_held else "release"}
    if job.recheck_due_on is None:
        unwanted.add("recheck")
    return [
        Offered(
            action,
            action.obstacle(job),
            _warnings(action, job),
            dates=service.planned_dates(job) if action.to == State.BOOKED else None,
        )
        for action in found
        if action.name not in unwanted
    ]
