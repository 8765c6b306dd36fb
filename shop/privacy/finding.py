"""Whatever the site keeps about one customer, found by mail address."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q

from configurator.models import Spec, SpecRevision
from shop.documents.models import Paper
from shop.jobs.models import Job
from shop.jobs.states import CLOSED
from shop.wanted import keeping
from shop.wanted.models import VehicleRequest

# The others are about an order or an invoice, whose keys are numbers of their own.
ABOUT_A_JOB = tuple(
    kind.value for kind in Paper.Kind if kind not in (Paper.Kind.PURCHASE_ORDER, Paper.Kind.INVOICE)
)


@dataclass(frozen=True)
class Kept:
    """What is kept about somebody: builds, sent or not, jobs made of them, vehicles asked for."""

    email: str
    specs: tuple[Spec, ...]
    jobs: tuple[Job, ...]
    requests: tuple[VehicleRequest, ...] = ()

    @property
    def open_jobs(self) -> tuple[Job, ...]:
        """Jobs that are not over: nothing of them can be forgotten yet."""
        return tuple(job for job in self.jobs if job.state not in CLOSED)

    @property
    def is_being_opened(self) -> bool:
        """Whether a build of theirs was sent and its job is not there yet."""
        known = {job.spec_id for job in self.jobs}
        return any(spec.sent_at and spec.pk not in known for spec in self.specs)


def kept_about(email: str) -> Kept:
    """Return what is kept about the person of this mail address, however it is spelt in case."""
    email = email.strip()
    if not email:
        return Kept(email, (), ())
    sent = SpecRevision.objects.filter(email__iexact=email).values("spec")
    named = Q(contact__email__iexact=email) | Q(pending__email__iexact=email)
    typed = Spec.objects.filter(named, sent_at=None).values("pk")
    specs = Spec.objects.filter(Q(pk__in=sent) | Q(pk__in=typed)).order_by("pk")
    jobs = Job.objects.filter(spec__in=specs).select_related("revision").order_by("pk")
    return Kept(email, tuple(specs), tuple(jobs), tuple(keeping.of_person(email)))


def papers_of(job: Job) -> list[Paper]:
    """Return the papers that were made about a job; its invoices belong to the books."""
    return list(Paper.objects.filter(about=job.pk, kind__in=ABOUT_A_JOB))


def invoices_of(job: Job) -> list[tuple[str, Paper]]:
    """Return the papers of a job's invoices and credit notes, each after its number."""
    numbers = dict(job.invoices.values_list("pk", "number"))
    papers = Paper.objects.filter(about__in=numbers, kind=Paper.Kind.INVOICE).order_by("about")
    return [(numbers[paper.about], paper) for paper in papers]
