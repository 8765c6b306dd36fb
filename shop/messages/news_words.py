"""What the workshop is told, in words of the reader's language, with the page where it is dealt with."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from shop.jobs.models_history import HistoryEntry
from shop.jobs.words import happened
from shop.planning.models import BrokenPromise

from .models import Message, OutgoingMail
from .models_news import News

Kind = News.Kind


@dataclass(frozen=True)
class Line:
    """One thing told: a sentence, somebody's own words, and the whole address of the page."""

    text: str
    address: str
    quote: str = ""


def line_of(news: News) -> Line:
    """Return one thing in words."""
    if news.kind == Kind.ASKED:
        return _asked(news)
    if news.job is None or news.kind == Kind.STUCK:
        mail = OutgoingMail.objects.filter(pk=news.said.get("mail")).first()
        what = f"{mail.job.number}, {mail.subject}" if mail else str(news.said.get("what", ""))
        text = _("Something the program had promised was given up: %(what)s") % {"what": what}
        return Line(text, _whole(reverse("shop:stuck")), str(news.said.get("error", "")))
    told = {"number": news.job.number, "name": news.job.revision.name}
    address = _whole(reverse("shop:job", args=[news.job.number]))
    if news.kind == Kind.SPEC:
        return Line(_("%(number)s: a build has come in from %(name)s.") % told, address)
    if news.kind == Kind.WROTE:
        page = _whole(reverse("shop:job_messages", args=[news.job.number]))
        words = Message.objects.filter(pk=news.said.get("message")).values_list("text", flat=True).first()
        return Line(_("%(number)s: %(name)s has written.") % told, page, words or "")
    if news.kind == Kind.CHANGED:
        action = HistoryEntry.objects.filter(pk=news.said.get("entry")).values_list("action", flat=True)
        return Line(f"{told['number']}, {told['name']}: {happened(action.first() or '')}.", address)
    because = news.said.get("because", "")
    reason = str(dict(BrokenPromise.Because.choices).get(because, ""))
    text = _("%(number)s: the plan no longer keeps the dates fixed with %(name)s: %(reason)s.")
    return Line(text % (told | {"reason": reason}), _whole(reverse("shop:promises")))


def _asked(news: News) -> Line:
    """Return a request for a vehicle; the page is a room's above, known by its address alone."""
    told = {"number": news.said.get("request"), "vehicle": news.said.get("vehicle", "")}
    text = _("A vehicle that is not listed is asked for: %(vehicle)s (request %(number)s).")
    if news.said.get("wrote"):
        text = _("Request %(number)s, %(vehicle)s: the customer has written.")
    return Line(text % told, _whole(reverse("shop:wanted_one", args=[news.said.get("request")])))


def _whole(path: str) -> str:
    return settings.SITE_URL.rstrip("/") + path
