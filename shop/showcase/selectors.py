"""What visitors are shown of finished builds, and what staff see of all of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, QuerySet
from django.utils.translation import get_language

from configurator.builds.comparing import part_name
from configurator.builds.evaluation import Evaluation
from configurator.builds.extra import without_lines
from configurator.builds.selection import POSITIONS, Selection
from configurator.catalogue.literals import PART_KINDS
from configurator.pages.told import told
from configurator.pages.wording import placed
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.jobs.states import State

from .languages import own_language
from .models import FinishedBuild, ShowingConsent, ShownPhoto

Answer = ShowingConsent.Answer
MOST_OFFERED = 60
STANDING = ("shown", "agreed", "unasked", "declined", "withdrawn")


@dataclass(frozen=True)
class Shown:
    """A finished build as a page shows it; ``done`` says in words what was done, from what was frozen."""

    build: FinishedBuild
    title: str
    text: str
    vehicle: str
    done: tuple[str, ...]
    before: tuple[ShownPhoto, ...]
    after: tuple[ShownPhoto, ...]
    when: datetime | None
    selection: Selection

    @property
    def face(self) -> ShownPhoto | None:
        """The photo that stands for it on a list."""
        return next(iter((*self.after, *self.before)), None)


def published() -> QuerySet[FinishedBuild]:
    """Return what visitors may see, the newest first."""
    return _with_all(FinishedBuild.objects.exclude(published_at=None))


def _with_all(found: QuerySet[FinishedBuild]) -> QuerySet[FinishedBuild]:
    photos = Prefetch("photos", ShownPhoto.objects.order_by("pk"))
    return found.select_related("job__revision", "job__agreed_revision").prefetch_related(photos)


def is_any() -> bool:
    """Whether there is a finished build to show: one query, and a small one."""
    return FinishedBuild.objects.exclude(published_at=None).exists()


def of_job(job: Job) -> FinishedBuild | None:
    """Return a job's finished build, published or not."""
    return _with_all(FinishedBuild.objects.filter(job=job)).first()


def shown(build: FinishedBuild) -> Shown:
    """Return a finished build in the reader's language."""
    revision = build.job.agreed_revision or build.job.revision
    evaluation = without_lines(evaluation_of(revision))
    photos = list(build.photos.all())
    return Shown(
        build=build,
        title=_said(build, "title"),
        text=_said(build, "text"),
        vehicle=told(evaluation.summary[0]) if evaluation.summary else "",
        done=tuple(_done(evaluation)),
        before=tuple(photo for photo in photos if photo.side == ShownPhoto.Side.BEFORE),
        after=tuple(photo for photo in photos if photo.side == ShownPhoto.Side.AFTER),
        when=build.job.handed_over_at,
        selection=evaluation.selection,
    )


def _said(build: FinishedBuild, name: str) -> str:
    """Return a text in the reader's language, or in the first one that has it."""
    language = (get_language() or own_language()).split("-")[0]
    order = dict.fromkeys((language, own_language(), *build.texts))
    return next((text for one in order if (text := build.texts.get(one, {}).get(name))), "")


def _done(evaluation: Evaluation) -> Iterable[str]:
    """Yield what was chosen in words, each part once where both axles have the same."""
    for kind in PART_KINDS:
        front, rear = (part_name(evaluation, position, kind) for position in POSITIONS)
        if front and front == rear:
            yield placed(told(front), "both")
            continue
        yield from (
            placed(told(name), place) for name, place in zip((front, rear), POSITIONS, strict=True) if name
        )
    tokens = [
        f"{position}-{kind}:{getattr(evaluation.selection.axle(position), kind)}"
        for kind in PART_KINDS
        for position in POSITIONS
    ]
    parts = {evaluation.names[token] for token in tokens if token in evaluation.names}
    yield from (told(text) for text in evaluation.summary[1:] if text not in parts)


@dataclass(frozen=True)
class Offered:
    """A job that was handed over: what its customer said, and what has been prepared of it."""

    job: Job
    answer: str
    build: FinishedBuild | None

    @property
    def vehicle(self) -> str:
        """Which vehicle it is."""
        summary = evaluation_of(self.job.revision).summary
        return told(summary[0]) if summary else ""

    @property
    def state(self) -> str:
        """Where it stands, as a word for pages."""
        if self.build and self.build.published_at:
            return "shown"
        return "agreed" if self.answer == Answer.GIVEN else self.answer or "unasked"


def handed_over() -> list[Offered]:
    """Return the jobs that may be shown or asked about, those shown and agreed to first."""
    jobs = Job.objects.filter(state=State.HANDED_OVER).select_related("revision", "finished_build")
    jobs = jobs.order_by("-handed_over_at", "-pk")
    given = ShowingConsent.objects.filter(answer=Answer.GIVEN).values("job")
    newest = {job.pk: job for job in (*jobs.filter(pk__in=given)[:MOST_OFFERED], *jobs[:MOST_OFFERED])}
    said = ShowingConsent.objects.filter(job__in=newest).order_by("pk").values_list("job_id", "answer")
    answers = dict(said)
    found = [
        Offered(job, answers.get(pk, ""), getattr(job, "finished_build", None)) for pk, job in newest.items()
    ]
    return sorted(found, key=lambda one: STANDING.index(one.state))
