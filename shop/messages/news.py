"""The workshop is told what happens: at once, once a day, or not, as it has chosen.

A mail goes to the workshop's own address. What was dealt with before the day's mail is left out of it.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, override

from configurator.catalogue import workshop as workshops
from configurator.models import Workshop
from configurator.outbox import service as outbox
from configurator.outbox.handlers import MAIL
from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.states import State
from shop.planning.models import BrokenPromise

from .models import Message
from .models_news import News, NewsSetting
from .news_words import Line, line_of

KIND = "news"
MOST_IN_A_MAIL = 200
Kind, When = News.Kind, NewsSetting.When


def setting() -> NewsSetting:
    """Return how the workshop wants to be told."""
    return NewsSetting.objects.first() or NewsSetting()


@transaction.atomic
def choose(*, when: str, language: str) -> None:
    """Keep how the workshop wants to be told; what waited for the day's mail is not told twice."""
    row = NewsSetting.objects.select_for_update().first() or NewsSetting()
    row.when, row.language = when, language
    row.save()
    if when != When.DAILY:
        News.objects.filter(told_at=None).update(told_at=timezone.now())


def language_of(workshop: Workshop | None) -> str:
    """Return the language to tell in: as chosen, else of the account with that address, else the site's."""
    chosen = setting().language
    if chosen or workshop is None or not workshop.email:
        return chosen or settings.LANGUAGE_CODE
    account = get_user_model().objects.filter(email__iexact=workshop.email, is_active=True).first()
    preference = getattr(account, "preference", None)
    return getattr(preference, "language", "") or settings.LANGUAGE_CODE


def tell(*, kind: str, key: str, job: Job | None = None, **said: Any) -> None:
    """Have the workshop told of something in the present transaction; the same key is told once."""
    when = setting().when
    if when == When.NEVER:
        return
    news, made = News.objects.get_or_create(key=key, defaults={"kind": kind, "job": job, "said": said})
    if made and when == When.AT_ONCE:
        outbox.promise(kind=KIND, key=f"{KIND}:{news.pk}", payload={"ids": [news.pk]}, is_first=True)


def when_customer_changed(entry: HistoryEntry) -> None:
    """Tell of photos that were added or of contact that was corrected; only the entry's key is kept."""
    tell(kind=Kind.CHANGED, key=f"changed:{entry.pk}", job=entry.job, entry=entry.pk)


@transaction.atomic
def promise_digest() -> int:
    """Promise the day's mail of what is still to be looked at; return how many things it tells."""
    if setting().when != When.DAILY:
        return 0
    waiting = list(News.objects.select_for_update(of=("self",)).filter(told_at=None)[:MOST_IN_A_MAIL])
    still = [news for news in waiting if is_open(news)]
    done = [news.pk for news in waiting if news not in still]
    News.objects.filter(pk__in=done).update(told_at=timezone.now())
    if still:
        ids = [news.pk for news in still]
        outbox.promise(kind=KIND, key=f"{KIND}:day:{timezone.localdate()}:{ids[-1]}", payload={"ids": ids})
    return len(still)


def is_open(news: News) -> bool:
    """Whether somebody still has to look at it."""
    if news.kind == Kind.SPEC:
        return news.job is not None and news.job.state == State.SENT
    if news.kind == Kind.WROTE:
        if news.said.get("answer"):
            return news.job is not None and news.job.state == State.IN_REVIEW
        return Message.objects.filter(pk=news.said.get("message"), read_at=None).exists()
    if news.kind == Kind.BROKEN:
        return BrokenPromise.objects.filter(job=news.job, settled="").exists()
    return True


@outbox.handles(KIND, queue=MAIL, atomic=False)
def send_news(payload: dict[str, Any]) -> None:
    """Send one mail of these things; what was told already is left out."""
    rows = list(News.objects.filter(pk__in=payload["ids"], told_at=None).select_related("job__revision"))
    workshop = workshops.current()
    if rows and workshop and workshop.email:
        as_message(rows, workshop, f"news.{payload['ids'][0]}.{len(payload['ids'])}").send()
    News.objects.filter(pk__in=[news.pk for news in rows]).update(told_at=timezone.now())


def as_message(rows: list[News], workshop: Workshop, mark: str) -> EmailMessage:
    """Return the mail, with the same Message-ID however often it is sent (RFC 5322, 3.6.4)."""
    language = language_of(workshop)
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    with override(language):
        lines = [line_of(news) for news in rows]
        body = render_to_string("mail/news.txt", {"lines": lines, "workshop": workshop})
        return EmailMessage(
            subject=_subject(lines),
            body=body,
            from_email=settings.DEFAULT_FROM_EMAIL,
            to=[workshop.email],
            headers={
                "Message-ID": f"<{mark}@{domain}>",
                "Auto-Submitted": "auto-generated",
                "Content-Language": language,
            },
        )


def _subject(lines: list[Line]) -> str:
    if len(lines) == 1:
        return " ".join(lines[0].text.split())[:140]
    said = ngettext("%(n)s thing to look at", "%(n)s things to look at", len(lines)) % {"n": len(lines)}
    return f"{_('Workshop')}: {said}"
