"""Jobs that staff enter: a walk-in repair, a call, a warranty visit; and the free lines of any job.

Such a job is a job like any other: a frozen revision with lines for price and hours, so plan, money,
papers and the customer's link follow from it as from a build.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.extra import NOT_LISTED, nothing_chosen
from configurator.builds.selection import Selection
from configurator.builds.sending import Contact, freeze
from configurator.catalogue import snapshot
from configurator.models import Spec, SpecRevision

from .composing import build_of, composed, in_advance, in_force
from .errors import UnmetError, WrongStateError
from .finding import note_words
from .models import Job
from .models_lines import Entry, JobLine
from .moving import check_role, check_version, locked, promise_mail, record
from .numbers import next_number
from .opening import SERIES
from .revising import store_revision
from .roles import Actor, By, actor
from .sent_before import check_same_contact, check_same_lines
from .signals import job_opened
from .states import AMENDABLE, MANAGER, REVIEWER, State
from .steps_kept import rewrite_operations

AT_THE_DESK = frozenset({REVIEWER, MANAGER})
Kind = Entry.Kind


@dataclass(frozen=True)
class Written:
    """One free line as a form gives it; ``wheels`` holds (axle, torque in N m, fasteners)."""

    label: str
    amount: Decimal
    kind: str = JobLine.Kind.REPAIR
    hands_on_h: float = 0.0
    wait_h: float = 0.0
    resource: str = "bay"
    wheels: tuple[tuple[str, float, int], ...] = ()


@dataclass(frozen=True)
class NewJob:
    """What staff know of a job that comes in: as much or as little as there is.

    ``generation`` is a vehicle of the catalogue, ``vehicle`` any other in words. ``deposit`` is None for the
    workshop's policy.
    """

    contact: Contact
    lines: tuple[Written, ...]
    vehicle: str = ""
    generation: str = ""
    body_finish: str | None = None
    language: str = ""
    deposit: Decimal | None = None
    kind: str = Kind.BY_HAND
    follows: Job | None = field(default=None)
    customer_asked: bool = False
    tell: bool = True


def enter_job(*, new: NewJob, by: By, press: str) -> Job:
    """Open a job that did not come by the page, in review by whoever enters it.

    ``press`` makes entering twice one job. ``customer_asked`` says that the customer, who is here or on the
    telephone, has said yes to these very lines at this price. ``tell`` mails the customer the link, where
    there is an address. Raises NotAllowedError or UnmetError.
    """
    who = actor(by)
    check_role(who, AT_THE_DESK, _("Entering a job"))
    with transaction.atomic():
        known = Entry.objects.filter(press=press).select_related("job").first()
        if known:
            check_same_lines(known.job, new.lines)
            check_same_contact(known.job, new.contact)
            return known.job
        _check(new)
        build = _build(new)
        lines = numbered(new.lines)
        found = composed(build, lines, _in_advance(new))
        if found.price is None:
            raise UnmetError(_("Write at least one line: what is to be done."), "label")
        job = _open(new, build, found, who)
        entry = Entry.objects.create(
            job=job, kind=new.kind, follows=new.follows, vehicle=new.vehicle, deposit=new.deposit,
            press=press, by=who.user,
        )  # fmt: skip
        keep_lines(job, lines)
        _announce(job, found, entry, who, tell=new.tell)
    return job


def _open(new: NewJob, build: Evaluation, found: Evaluation, who: Actor) -> Job:
    """Make the job's row, with its spec and the frozen revision it is made from."""
    spec = Spec.objects.create(
        selection=build.selection.model_dump(mode="json"),
        language=new.language or settings.LANGUAGE_CODE,
        catalogue_version=build.catalogue_version,
        sent_at=timezone.now(),
        name="" if new.generation else new.vehicle[:80],
    )
    revision = _freeze(spec, found, new.contact, who)
    return Job.objects.create(
        number=next_number(SERIES),
        spec=spec,
        revision=revision,
        reviewer=who.user,
        state=State.IN_REVIEW,
        customer_agreed_revision=revision if new.customer_asked else None,
    )


def _in_advance(new: NewJob) -> Decimal | None:
    return Decimal(0) if new.deposit is None and new.kind != Kind.BY_HAND else new.deposit


def _check(new: NewJob) -> None:
    if not new.contact.name.strip():
        raise UnmetError(_("Write whom the job is for."), "name")
    if not new.generation and not new.vehicle.strip():
        raise UnmetError(_("Say which vehicle it is."), "vehicle")
    if new.generation and new.generation not in snapshot.current().generations:
        raise UnmetError(_("The catalogue no longer has this vehicle."), "generation")
    check_lines(new.lines)


def check_lines(lines: Iterable[Written]) -> None:
    """Raise UnmetError for a line that cannot be."""
    for line in lines:
        if not line.label.strip():
            raise UnmetError(_("Say what is done or charged."), "label")
        if line.amount < 0:
            raise UnmetError(_("A price cannot be below nothing. Take something off under Money."), "amount")
        if line.wheels and not all(torque > 0 for _axle, torque, _count in line.wheels):
            raise UnmetError(_("Where wheels come off, say to which torque they are tightened."), "torque_nm")


def _build(new: NewJob) -> Evaluation:
    catalogue = snapshot.current()
    if not new.generation:
        return nothing_chosen(NOT_LISTED, new.vehicle.strip(), catalogue.version)
    return evaluate(Selection(generation=new.generation, body_finish=new.body_finish), catalogue)


def _freeze(spec: Spec, found: Evaluation, contact: Contact, who: Actor) -> SpecRevision:
    workshop = snapshot.current().workshop
    return freeze(
        spec=spec,
        evaluation=found,
        contact=contact,
        terms_version=workshop.terms_version if workshop else "",
        terms_text=str(workshop.terms) if workshop else "",
        made_by=who.name,
    )


def _announce(job: Job, found: Evaluation, entry: Entry, who: Actor, *, tell: bool) -> None:
    rewrite_operations(job, found)
    note_words(job, found)
    job_opened.send(Job, job=job, evaluation=found)
    follows: dict[str, Any] = {"follows": entry.follows.number} if entry.follows else {}
    action = f"job.entered_{entry.kind.replace(' ', '_')}"
    noted = record(job, who, action, to=job.state, revision=job.revision.number, **follows)
    if entry.follows:
        record(entry.follows, who, "job.followed", by_job=job.number)
    if tell and job.revision.email:
        promise_mail(job, "entered", noted.pk)


def numbered(lines: Iterable[Written], after: int = 0) -> list[JobLine]:
    """Return lines with the numbers that come next, not stored yet."""
    return [
        JobLine(
            number=number, kind=line.kind, label=line.label.strip()[:160], amount=line.amount,
            hands_on_h=line.hands_on_h, wait_h=line.wait_h, resource=line.resource,
            wheels=[list(each) for each in line.wheels],
        )
        for number, line in enumerate(lines, start=after + 1)
    ]  # fmt: skip


def keep_lines(job: Job, lines: list[JobLine], **more: Any) -> list[JobLine]:
    """Store a job's new lines; the caller holds the job's row."""
    for line in lines:
        line.job = job
        for name, value in more.items():
            setattr(line, name, value)
    return JobLine.objects.bulk_create(lines)


def last_number(job: Job) -> int:
    """Return the number of the job's newest line."""
    return job.lines.order_by("-number").values_list("number", flat=True).first() or 0


def change_lines(
    *,
    job_id: int,
    add: tuple[Written, ...],
    drop: tuple[int, ...],
    by: By,
    why: str,
    version: int | None = None,
) -> bool:
    """Add and take off free lines while the job is in review: a new revision, as any change of the build.

    ``drop`` holds numbers of lines. Returns False when nothing is to change.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, AT_THE_DESK, _("Changing a job"))
        if job.state not in AMENDABLE:
            raise WrongStateError(
                _("%(number)s is “%(state)s”; take it into review first.")
                % {"number": job.number, "state": State(job.state).label}
            )
        check_version(job, version)
        check_lines(add)
        gone = job.lines.filter(number__in=drop, state=JobLine.State.IN_FORCE)
        if not add and not gone.exists():
            return False
        if not why.strip():
            raise UnmetError(_("Say why: the customer reads it beside the change."), field="why")
        gone.update(state=JobLine.State.GONE)
        keep_lines(job, numbered(add, last_number(job)))
        store_revision(job, composed(build_of(job), in_force(job), in_advance(job)), who, why.strip())
    return True
