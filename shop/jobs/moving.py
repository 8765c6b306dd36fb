"""The one way a job changes state: the table asked, the row locked, one history entry, mail promised."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.outbox import service as outbox

from .errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from .holds import HOLDS
from .models import Job
from .models_history import HistoryEntry
from .roles import Actor, By, actor
from .signals import job_moved
from .states import CLOSED, MOVES, Move, State, roles_into
from .words import happened, role_names


def locked(job_id: int) -> Job:
    """Return the job with its row locked until the transaction ends."""
    return Job.objects.select_for_update().get(pk=job_id)


def record(
    job: Job,
    by: Actor,
    action: str,
    *,
    why: str = "",
    said: dict[str, Any] | None = None,
    source: str = "",
    to: str = "",
    **data: Any,
) -> HistoryEntry:
    """Add one entry to the job's history, and note on the job who acted last: lists read it there.

    ``why`` is what a person typed; the program's own reason is ``said``, a sentence of ``jobs.said``.
    """
    if said:
        data["said"] = said
    job.last_who, job.last_action = by.name, action
    Job.objects.filter(pk=job.pk).update(last_who=by.name, last_action=action)
    return HistoryEntry.objects.create(
        job=job, who=by.name, user=by.user, action=action, from_state=source, to_state=to, why=why, data=data
    )


def promise_mail(job: Job, template: str, occasion: int, *, is_first: bool = False) -> None:
    """Promise one mail to the customer; ``occasion`` tells repeats of one template apart.

    ``is_first`` says that nobody can have promised it before: then nothing is looked for.
    """
    key = f"job-mail:{job.pk}:{template}:{occasion}"
    payload = {"job_id": job.pk, "template": template, "occasion": occasion}
    outbox.promise(kind="job_mail", key=key, payload=payload, is_first=is_first)


def check_version(job: Job, version: int | None) -> None:
    """Raise ``StaleError`` when the page that asks was made from an older state of the job."""
    if version is not None and version != job.version:
        last = job.history.last()
        what = f"{happened(last.action)} ({last.who})" if last else _("someone changed it")
        raise StaleError(
            _("%(number)s has changed since you opened this page: %(what)s. Look again, then decide.")
            % {"number": job.number, "what": what},
            version=job.version,
            revision=job.revision_id,
        )


def check_role(by: Actor, roles: frozenset[str], doing: str) -> None:
    """Raise ``NotAllowedError`` unless one of the actor's roles is among these."""
    if not by.roles & roles:
        raise NotAllowedError(
            _("%(doing)s is for: %(roles)s.") % {"doing": doing, "roles": role_names(roles)}
        )


def move(
    *,
    job_id: int,
    to: str,
    by: By,
    why: str = "",
    version: int | None = None,
    mail: str = "",
    data: dict[str, Any] | None = None,
    changes: dict[str, Any] | None = None,
) -> bool:
    """Move the job to a state if the table allows it; return False when it is there already.

    ``version`` is the job's version as the asking page knew it. ``changes`` are fields set with the
    move, ``data`` goes into the history entry, ``mail`` names the template promised to the customer.
    Raises NotAllowedError, WrongStateError, StaleError or UnmetError.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, roles_into(to), _("Moving a job to “%(to)s”") % {"to": State(to).label})
        if job.state == to:
            return False
        step = _allowed(job, to, who)
        check_version(job, version)
        for name, value in (changes or {}).items():
            setattr(job, name, value)
        _check_holds(job, step, why, data or {})
        _enter(job, step, who, why, data or {}, mail)
    return True


def _allowed(job: Job, to: str, who: Actor) -> Move:
    step = MOVES.get((job.state, to))
    if step is None:
        raise WrongStateError(
            _("%(number)s is “%(state)s” and cannot go to “%(to)s”.")
            % {"number": job.number, "state": State(job.state).label, "to": State(to).label}
        )
    check_role(
        who,
        step.roles,
        _("Moving a job from “%(source)s” to “%(to)s”") % {"source": step.source.label, "to": step.to.label},
    )
    return step


def _check_holds(job: Job, step: Move, why: str, data: dict[str, Any]) -> None:
    if step.needs_why and not why.strip() and not data.get("said"):
        raise UnmetError(_("Give a reason."), field="why")
    for name in step.holds:
        if message := HOLDS[name](job):
            raise UnmetError(message)


def _enter(job: Job, step: Move, who: Actor, why: str, data: dict[str, Any], mail: str) -> None:
    job.state, job.state_since = step.to, timezone.now()
    job.version += 1
    if step.to in CLOSED:
        # Nothing waits any more; the history keeps what it was held up for.
        job.on_hold_reason, job.hold_id, job.hold_figures = "", "", {}
    if step.to == State.AGREED:
        job.agreed_revision = job.revision
    elif step.to == State.IN_REVIEW:
        # An offer that is looked at again is no offer: what is asked next is a question until it is renewed.
        job.workshop_agreed_revision = None
    job.save()
    entry = record(job, who, step.action, why=why.strip(), source=step.source.value, to=step.to.value, **data)
    if mail:
        promise_mail(job, mail, entry.pk)
    job_moved.send(Job, job=job, source=step.source.value, to=step.to.value, entry=entry)
