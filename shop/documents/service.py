"""Making papers, keeping them, and promising them for after the commit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone, translation

from configurator.outbox import service as outbox
from configurator.outbox.handlers import PAPERS
from shop.jobs.models import Job
from shop.money.models import Invoice
from shop.parts.models import PurchaseOrder

from . import render
from .content.customer import NoPaperError, deposit, no_deposit, no_quote, quote, specification
from .content.handover import handover, no_handover
from .content.invoice import invoice
from .content.labels import labels
from .content.workshop import job_sheet, purchase_order
from .einvoice import with_xml
from .models import Paper

Kind = Paper.Kind


@dataclass(frozen=True)
class Sort:
    """One kind of paper: its template, what it is about, who gathers what it says, why it is not there."""

    template: str
    about: type[Job] | type[PurchaseOrder] | type[Invoice]
    content: Callable[[Any], dict[str, Any]]
    missing: Callable[[Any], str] = lambda about: ""
    standards: tuple[str, ...] = render.STANDARDS
    """The PDF standards it keeps to."""
    finish: Callable[[bytes, Any], bytes] = lambda made, about: made
    """What is done with the PDF before it is kept."""
    is_final: bool = False
    """Whether the first paper made stands for good."""


SORTS: dict[str, Sort] = {
    Kind.QUOTE: Sort("quote", Job, quote, no_quote),
    Kind.SPECIFICATION: Sort("specification", Job, specification),
    Kind.DEPOSIT: Sort("deposit", Job, deposit, no_deposit),
    Kind.JOB_SHEET: Sort("job_sheet", Job, job_sheet),
    Kind.PURCHASE_ORDER: Sort("purchase_order", PurchaseOrder, purchase_order),
    Kind.HANDOVER: Sort("handover", Job, handover, no_handover),
    Kind.INVOICE: Sort(
        "invoice", Invoice, invoice, standards=render.WITH_FILES, finish=with_xml, is_final=True
    ),
}


@dataclass(frozen=True)
class Opened:
    """A paper's bytes and the name to save it under."""

    data: bytes
    filename: str


def open_paper(*, kind: str, about: Job | PurchaseOrder | Invoice) -> Opened:
    """Return the paper as it is now, made anew only when what it says has changed.

    Raises ``NoPaperError`` when there is nothing to say yet.
    """
    sort = SORTS[kind]
    data = content_of(kind, about)
    digest = render.digest(sort.template, data)
    kept = Paper.objects.filter(kind=kind, about=about.pk).first()
    if kept and not sort.is_final and kept.digest != digest:
        kept = None
    made = _read(kept) if kept else None
    if made is None:
        made = sort.finish(render.pdf(sort.template, data, standards=sort.standards), about)
        _keep(kind, about.pk, digest, made)
    return Opened(made, f"{about.number}-{kind.replace(' ', '-')}.pdf")


def content_of(kind: str, about: Job | PurchaseOrder | Invoice) -> dict[str, Any]:
    """Return all that a paper says, in its language; raise ``NoPaperError`` when there is nothing to say."""
    with translation.override(language_of(kind, about)):
        return {"dated": _dated(about), **labels(), **SORTS[kind].content(about)}


def _dated(about: Job | PurchaseOrder | Invoice) -> dict[str, int]:
    """Return the day of what a paper is about, for the file's own data: the same content, the same day."""
    if isinstance(about, Invoice):
        day = about.issued_on
    else:
        made_at = about.placed_at if isinstance(about, PurchaseOrder) else about.revision.made_at
        day = timezone.localdate(made_at)
    return {"year": day.year, "month": day.month, "day": day.day}


FOR_CUSTOMERS = frozenset({Kind.QUOTE, Kind.SPECIFICATION, Kind.DEPOSIT, Kind.HANDOVER})


def language_of(kind: str, about: Job | PurchaseOrder | Invoice) -> str:
    """Return the language of a paper: the reader's own, or that of whoever opens it in the workshop."""
    if isinstance(about, Invoice):
        return str(about.content["language"])
    if isinstance(about, PurchaseOrder) and about.supplier_address.get("language"):
        return str(about.supplier_address["language"])
    if kind in FOR_CUSTOMERS and isinstance(about, Job):
        return about.spec.language or settings.LANGUAGE_CODE
    return translation.get_language() or settings.LANGUAGE_CODE


def _read(paper: Paper) -> bytes | None:
    """Return the kept file, or nothing when it is gone from the disk."""
    try:
        with paper.file.open("rb") as file:
            return bytes(file.read())
    except (FileNotFoundError, ValueError):
        return None


@transaction.atomic
def _keep(kind: str, about: int, digest: str, made: bytes) -> None:
    """Put the new paper in place of the old one; of two makers at once the later stands."""
    paper, _made = Paper.objects.select_for_update().get_or_create(
        kind=kind, about=about, defaults={"digest": digest}
    )
    old = paper.file.name
    paper.digest = digest
    paper.file.save("paper.pdf", ContentFile(made), save=True)
    if old:
        storage = paper.file.storage
        transaction.on_commit(lambda: storage.delete(old), robust=True)


def promise_paper(*, kind: str, about: int, occasion: str) -> None:
    """Have a paper made after the commit, so that it is there when someone opens it."""
    outbox.promise(
        kind="paper", key=f"paper:{kind}:{about}:{occasion}", payload={"kind": kind, "about": about}
    )


@outbox.handles("paper", queue=PAPERS)
def keep_paper(payload: dict[str, Any]) -> None:
    """Make one promised paper; what is gone or has nothing to say needs none."""
    about = SORTS[payload["kind"]].about._default_manager.filter(pk=payload["about"]).first()
    if about is None:
        return
    try:
        open_paper(kind=payload["kind"], about=about)
    except NoPaperError:
        return
