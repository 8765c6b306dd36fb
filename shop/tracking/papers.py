"""The papers that a customer may open, each once there is something to say in it."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from shop.documents.content.customer import NoPaperError
from shop.documents.models import Paper
from shop.documents.service import Opened, open_paper
from shop.jobs.models import Job
from shop.jobs.states import ORDER, State
from shop.messages.hooks import is_offer
from shop.money.models import Invoice

from .access import by_link

Kind = Paper.Kind
NAMES: dict[str, str | Promise] = {
    Kind.QUOTE: _("Offer with price and terms"),
    Kind.SPECIFICATION: _("What is built, with every fit check"),
    Kind.DEPOSIT: _("Deposit request"),
    Kind.HANDOVER: _("Handover pack"),
}
AGREED_OR_LATER = frozenset(ORDER[ORDER.index(State.AGREED) :])
AT_THE_END = frozenset({State.READY, State.HANDED_OVER})
# From ready on the page asks for the balance, and the invoice is the paper of it.
WITH_A_DEPOSIT = AGREED_OR_LATER - AT_THE_END


@dataclass(frozen=True)
class PaperLink:
    """One paper to open."""

    slug: str
    name: str | Promise
    is_invoice: bool = False


def papers_of(job: Job) -> list[PaperLink]:
    """Return the papers of the job's state; an offer comes with its paper, nothing earlier."""
    agreed = job.state in AGREED_OR_LATER
    shown = {
        Kind.HANDOVER: job.state in AT_THE_END,
        Kind.DEPOSIT: job.state in WITH_A_DEPOSIT,
        Kind.QUOTE: agreed or is_offer(job),
        Kind.SPECIFICATION: agreed or is_offer(job),
    }
    links = [PaperLink(kind.slug, NAMES[kind]) for kind, is_shown in shown.items() if is_shown]
    return [*(PaperLink(slug_of(each), name_of(each), True) for each in job.invoices.order_by("-pk")), *links]


def slug_of(invoice: Invoice) -> str:
    """Return an invoice's part of an address."""
    return invoice.number.lower()


def name_of(invoice: Invoice) -> str:
    """Return what an invoice or credit note is called on the page."""
    words = _("Credit note %(number)s") if invoice.corrects_id else _("Invoice %(number)s")
    return str(words) % {"number": invoice.number}


@require_safe
@by_link
def paper(request: HttpRequest, job: Job, slug: str) -> HttpResponse:
    """Give one of the job's papers as PDF."""
    invoice = job.invoices.filter(number=slug.upper()).first()
    if invoice:
        return _pdf(open_paper(kind=Kind.INVOICE, about=invoice))
    kind = next((kind for kind in NAMES if Kind(kind).slug == slug), None)
    if kind is None or slug not in {link.slug for link in papers_of(job)}:
        raise Http404
    try:
        made = open_paper(kind=kind, about=job)
    except NoPaperError as error:
        raise Http404 from error
    return _pdf(made)


def _pdf(made: Opened) -> HttpResponse:
    response = HttpResponse(made.data, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{made.filename}"'
    return response
