"""From a promise to a row: the mail is put into words and stored; sending is another step."""

from __future__ import annotations

import unicodedata
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation

from configurator.catalogue import workshop as workshops
from configurator.models import Workshop
from configurator.outbox.handlers import MAIL, handles
from shop.jobs.evaluations import evaluation_of
from shop.jobs.links import tracking_url
from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.states import State
from shop.jobs.vehicle import scene_of

from .delivery import promise_delivery
from .hooks import is_offer
from .letters import LETTERS, Letter, Occasion
from .models import LINK_MARK, OutgoingMail
from .news import language_of
from .sums import deposit_of, held_of, refund_of

SUBJECT_MAX = 150
FROM_MESSAGES = frozenset({"message", "customer_wrote"})
TO_WORKSHOP = frozenset({"customer_wrote"})
FROM_LAST_QUESTION = frozenset({"answer_reminder"})


def one_line(text: str, limit: int = SUBJECT_MAX) -> str:
    """Return text fit for a header: no line break or control character can end the header early."""
    plain = "".join(" " if unicodedata.category(char)[0] in "CZ" else char for char in text)
    return " ".join(plain.split())[:limit]


@handles("job_mail", queue=MAIL)
def write_job_mail(payload: dict[str, Any]) -> None:
    """Write the promised mail as a row, once, and have it sent after the commit."""
    kind, occasion_id = payload["template"], payload.get("occasion", 0)
    key = f"{kind}:{payload['job_id']}:{occasion_id}"
    if OutgoingMail.objects.filter(key=key).exists():
        return
    job = Job.objects.select_related("revision", "spec").get(pk=payload["job_id"])
    ours = kind in TO_WORKSHOP
    language = language_of(workshops.current()) if ours else job.spec.language or settings.LANGUAGE_CODE
    with translation.override(language):
        occasion = _occasion(job, kind, occasion_id)
        letter = LETTERS[kind](occasion)
        if not (occasion.workshop.email if letter.to_workshop else job.revision.email):
            # What is for the workshop never goes to the customer instead: the inbox tells of it. And who
            # gave no address is told by telephone.
            return
        mail, made = OutgoingMail.objects.get_or_create(
            key=key, defaults=_columns(job, kind, language, letter, occasion)
        )
    if made:
        promise_delivery(mail)


def _occasion(job: Job, kind: str, occasion_id: int) -> Occasion:
    workshop = workshops.current() or Workshop(name="Kerbline", email=settings.DEFAULT_FROM_EMAIL)
    return Occasion(
        job=job,
        revision=job.revision,
        evaluation=evaluation_of(job.revision),
        workshop=workshop,
        link=tracking_url(job),
        why=_why(job, kind, occasion_id),
        deposit=deposit_of(job),
        held=held_of(job),
        going_back=refund_of(job, occasion_id) if kind == "refund" else None,
    )


def _why(job: Job, kind: str, occasion_id: int) -> str:
    """Return the words of a person that this mail passes on."""
    if kind == "refund":
        return job.refunds.values_list("why", flat=True).get(pk=occasion_id)
    if kind in FROM_MESSAGES:
        return job.messages.values_list("text", flat=True).get(pk=occasion_id)
    if kind == "offer" or (kind in FROM_LAST_QUESTION and is_offer(job)):
        return job.revision.why
    entries = HistoryEntry.objects.filter(job=job)
    if kind in FROM_LAST_QUESTION:
        entry = entries.filter(to_state=State.WAITING).last()
    else:
        entry = entries.filter(pk=occasion_id).first()
    return entry.why if entry else ""


def _columns(job: Job, kind: str, language: str, letter: Letter, on: Occasion) -> dict[str, Any]:
    has_picture = letter.has_picture and scene_of(job.revision) is not None
    context = {"letter": letter, "on": on, "language": language, "has_picture": has_picture}
    return {
        "job": job,
        "kind": kind,
        "language": language,
        "to": on.workshop.email if letter.to_workshop else job.revision.email,
        "subject": one_line(letter.subject),
        "text": render_to_string("mail/letter.txt", context).replace(job.token, LINK_MARK),
        "html": render_to_string("mail/letter.html", context).replace(job.token, LINK_MARK),
        "revision": job.revision if has_picture else None,
    }
