"""Everything the customer's page shows, read in a fixed number of queries.

What is not named here is not shown: staff notes, costs, suppliers and hours stay with the workshop.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db.models import F
from django.utils import timezone

from configurator.builds.evaluation import AxleFit, Evaluation, PartLine
from configurator.builds.photos import bounds
from configurator.models import Photo, SpecRevision
from shop.jobs import vehicle
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job, JobOperation
from shop.jobs.models_history import HistoryEntry
from shop.jobs.models_lines import Entry
from shop.jobs.states import BEFORE_THE_BAY, State
from shop.messages.hooks import is_offer
from shop.messages.models import Message
from shop.messages.promised import answer_due
from shop.parts.models import OrderedFor
from shop.planning.booking import TO_BOOK
from shop.planning.selectors import proposed_days

from . import adding, changes, papers, steps
from .models import NewAddress
from .now import Now
from .now import now as where_it_stands
from .paying import DepositView, deposit_view, is_in_advance
from .proposals import AskedChange, asked_changes
from .showing import Showing, showing_of
from .shown import shown_revision

# Told as one sum: a customer buys wheels and panels, not masking tape by the metre.
USED_UP = frozenset({"paint", "material", "extra"})


@dataclass(frozen=True)
class JobView:
    """One job for its customer."""

    job: Job
    revision: SpecRevision
    """Theirs, until another is proposed: the job's own may be a draft by then."""
    evaluation: Evaluation
    now: Now
    timeline: list[steps.Step]
    reason: str
    is_offer: bool
    is_question: bool
    asked: str
    question: int | None
    """The entry of the history that asked it."""
    differences: list[changes.Difference]
    fits: list[AxleFit]
    parts: list[PartLine]
    materials: Decimal
    deposit: DepositView | None
    work_photos: list[JobOperation]
    own_photos: list[Photo]
    new_address: NewAddress | None
    messages: list[Message]
    papers: list[papers.PaperLink]
    picture: Any
    proposed: list[date]
    answer_due: date | None
    asked_changes: list[AskedChange]
    showing: Showing | None

    @property
    def is_agreed(self) -> bool:
        """Whether both sides have said yes to what is shown."""
        return self.job.agreed_revision_id == self.revision.pk

    @property
    def is_own(self) -> bool:
        """Whether the customer sent what is shown."""
        return not self.revision.made_by

    @property
    def is_redrawn(self) -> bool:
        """Whether the workshop is writing another version than the one shown."""
        return self.revision.pk != self.job.revision_id

    @property
    def may_propose(self) -> bool:
        """Whether the customer can say which days suit better."""
        return self.job.state in BEFORE_THE_BAY

    @property
    def may_be_booked(self) -> bool:
        """Whether days are being fixed now: a wish is answered at once, and not when the parts are in."""
        return self.job.state in TO_BOOK

    @property
    def days_have_passed(self) -> bool:
        """Whether all the days that the customer proposed lie behind us."""
        return bool(self.proposed) and max(self.proposed) < timezone.localdate()

    @property
    def is_late(self) -> bool:
        """Whether the day has passed by which we wanted to answer."""
        return self.answer_due is not None and self.answer_due < timezone.localdate()

    @property
    def may_add_photos(self) -> bool:
        """Whether photos can still be added."""
        return adding.may_add(self.job)

    @property
    def photo_limit(self) -> int:
        """How many photos there may be in all."""
        return bounds(after_sending=True)[0]

    @property
    def photo_bytes(self) -> int:
        """How large one may be, in bytes."""
        return settings.KERBLINE_PHOTO_MAX_BYTES

    @property
    def photo_mb(self) -> int:
        """How large one may be, in MB."""
        return settings.KERBLINE_PHOTO_MAX_BYTES // 1_000_000

    @property
    def asks_address(self) -> bool:
        """Whether the invoice's address can be given: while something is asked for, until there is one."""
        return (
            self.deposit is not None
            and self.deposit.account.is_asked
            and self.deposit.account.asked > 0
            and not any(paper.is_invoice for paper in self.papers)
        )

    @property
    def may_cancel(self) -> bool:
        """Whether the customer can still call it off."""
        return self.job.state in BEFORE_THE_BAY


def job_view(job: Job) -> JobView:
    """Read all of one job that its customer may see."""
    entries = list(job.history.exclude(to_state=""))
    revision = shown_revision(job, entries)
    evaluation = evaluation_of(revision)
    entry: Entry | None = getattr(job, "entry", None)
    deposit = deposit_view(job)
    in_advance = is_in_advance(evaluation, deposit)
    waiting = job.state == State.WAITING
    offered = is_offer(job)
    before = _accepted_before(job) if offered else None
    paid = [line for line in evaluation.parts if line.at_cost_of == "customer"]
    return JobView(
        job=job,
        revision=revision,
        evaluation=evaluation,
        now=where_it_stands(job, is_offer=offered, is_entered=entry is not None, in_advance=in_advance),
        timeline=steps.timeline(job, entries, parts_by=parts_by(job), entry=entry, in_advance=in_advance),
        reason=_last_why(entries, job.state) if job.state in (State.DECLINED, State.CANCELLED) else "",
        is_offer=offered,
        is_question=waiting and not offered,
        asked=_asked(job, entries),
        question=next((one.pk for one in reversed(entries) if one.to_state == State.WAITING), None),
        differences=changes.differences(before, evaluation) if before else [],
        fits=list(evaluation.fits.values()),
        parts=[line for line in paid if line.kind not in USED_UP],
        materials=sum((line.amount for line in paid if line.kind in USED_UP), Decimal(0)),
        deposit=deposit,
        work_photos=list(job.operations.filter(photo_for_customer=True).exclude(photo="")),
        own_photos=list(job.spec.photos.select_related("spec")),
        new_address=getattr(job, "new_address", None),
        messages=list(job.messages.select_related("user")),
        papers=papers.papers_of(job),
        picture=vehicle.svg_of(revision),
        proposed=proposed_days(job),
        answer_due=answer_due(job),
        asked_changes=asked_changes(job, evaluation),
        showing=showing_of(job),
    )


def _accepted_before(job: Job) -> Evaluation | None:
    """Return the newest version that the customer has said yes to."""
    revision = job.customer_agreed_revision
    if revision is None or revision.pk == job.revision_id:
        revision = job.spec.revisions.exclude(pk=job.revision_id).order_by("-number").first()
    return evaluation_of(revision) if revision else None


def parts_by(job: Job) -> date | None:
    """Return the day by which what is on order should be here: the longest of the suppliers' lead times."""
    if job.state != State.PARTS_ON_ORDER:
        return None
    open_orders = OrderedFor.objects.filter(
        part__job=job, line__not_coming="", line__received__lt=F("line__quantity") - F("line__given_up")
    )
    rows = open_orders.values_list("line__order__placed_at", "part__lead_time_days")
    return max((timezone.localdate(placed) + timedelta(days=days) for placed, days in rows), default=None)


def _asked(job: Job, entries: list[HistoryEntry]) -> str:
    """Return the workshop's own words to what the customer is asked."""
    if job.state != State.WAITING:
        return ""
    return job.revision.why if is_offer(job) else _last_why(entries, State.WAITING)


def _last_why(entries: list[HistoryEntry], state: str) -> str:
    return next((entry.why for entry in reversed(entries) if entry.to_state == state), "")
