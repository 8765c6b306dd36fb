"""Whether a customer agrees that their vehicle is shown: asked, recorded, taken back at any time."""

from __future__ import annotations

from django.core.files.storage import Storage
from django.db import transaction
from django.utils.translation import gettext as _

from shop.jobs.errors import JobError, UnmetError
from shop.jobs.models import Job
from shop.jobs.roles import THE_CUSTOMER, By, actor
from shop.jobs.service import locked, record
from shop.jobs.states import State

from .models import FinishedBuild, ShowingConsent

Answer, How = ShowingConsent.Answer, ShowingConsent.How
ACTIONS = {
    Answer.GIVEN: "showing.agreed",
    Answer.DECLINED: "showing.declined",
    Answer.WITHDRAWN: "showing.withdrawn",
}
BY_STAFF = (How.PERSON, How.TELEPHONE, How.WRITTEN)


def question() -> str:
    """Return what is asked of the customer, in the active language; it is kept with a yes."""
    return _(
        "The workshop may show my vehicle among the finished builds on this site: photos from before and "
        "after that it chooses, which vehicle it is and what was done. My name, number plate and vehicle "
        "number are not shown. I can take this back at any time on this page or by telling the workshop; "
        "it is then gone from the site at once."
    )


def latest(job: Job) -> ShowingConsent | None:
    """Return the newest answer of a job, if there is one."""
    return ShowingConsent.objects.filter(job=job).select_related("by").order_by("-pk").first()


def stands(job: Job) -> bool:
    """Whether the job may be shown."""
    found = latest(job)
    return found is not None and found.answer == Answer.GIVEN


def may_ask(job: Job) -> bool:
    """Whether there is anything to agree to: the vehicle is handed over."""
    return job.state == State.HANDED_OVER


@transaction.atomic
def answer_as_customer(*, job_id: int, answer: str) -> bool:
    """Take the customer's own answer; return whether it is news. Said twice, it is said once.

    Raises JobError before the handover; taking back is never refused.
    """
    job = locked(job_id)
    return _answer(job, Answer(answer), How.PAGE, by=THE_CUSTOMER, note="")


@transaction.atomic
def answer_by_staff(*, job_id: int, answer: str, how: str, note: str, by: By) -> bool:
    """Record what the customer said in person, by telephone or in writing; return whether it is news.

    Raises UnmetError where it is not said who said it and when, JobError before the handover.
    """
    if how not in BY_STAFF:
        raise UnmetError(_("Say how the customer told you."), "how")
    if not note.strip():
        raise UnmetError(_("Say who told you, and when."), "note")
    return _answer(locked(job_id), Answer(answer), How(how), by=by, note=note.strip()[:200])


def _answer(job: Job, answer: ShowingConsent.Answer, how: ShowingConsent.How, *, by: By, note: str) -> bool:
    now = latest(job)
    if answer == Answer.WITHDRAWN and (now is None or now.answer != Answer.GIVEN):
        return False
    if now is not None and now.answer == answer:
        return False
    if answer != Answer.WITHDRAWN and not may_ask(job):
        raise JobError(_("A vehicle is shown after it was handed over, not before."))
    if answer == Answer.DECLINED and now is not None and now.answer == Answer.GIVEN:
        answer = Answer.WITHDRAWN
    who = actor(by)
    ShowingConsent.objects.create(
        job=job,
        answer=answer,
        how=how,
        note=note,
        by=who.user,
        words=question() if answer == Answer.GIVEN else "",
    )
    if answer != Answer.GIVEN:
        take_away(job)
    record(job, who, ACTIONS[answer], why=note, how=how.value)
    return True


def take_away(job: Job) -> None:
    """Have a finished build gone, with its photos and their files; part of the caller's transaction."""
    for build in FinishedBuild.objects.filter(job=job).prefetch_related("photos"):
        for photo in build.photos.all():
            remove_files(photo.image.storage, [photo.original.name, photo.image.name, photo.thumbnail.name])
        build.delete()


def remove_files(storage: Storage, names: list[str | None]) -> None:
    """Delete files once the rows that named them are gone for good."""
    for name in filter(None, names):
        transaction.on_commit(lambda name=name: storage.delete(name), robust=True)  # type: ignore[misc]
