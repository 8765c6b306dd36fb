"""Invoices and credit notes: gapless numbers, amounts frozen at the day of issue.

An invoice says what the job costs, with tax, and takes off what was paid; it is issued from ready on, or for
what is owed when a job was called off. It is never changed: a credit note takes it back, in whole (then the
job can be invoiced anew) or for what was taken off the price afterwards.
"""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone, translation
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from configurator.catalogue import workshop as the
from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.numbers import next_number
from shop.jobs.roles import actor
from shop.jobs.states import State

from .account import CALLED_OFF, IN_FULL, ZERO, Account, account, standing
from .invoice_lines import lines_of, reductions_of
from .ledger import PaymentError, refresh
from .models import BillingAddress, Invoice, Reduction
from .signals import invoice_issued
from .tax import Amounts, Line, worked_out

SERIES = "R"
SELLER = (
    "name", "legal_name", "street", "postcode", "town", "country", "email", "phone", "tax_number",
    "no_tax_why", "iban", "bic",
)  # fmt: skip
ADDRESS = ("name", "extra", "street", "postcode", "town", "country", "vat_id")


def why_not(job: Job) -> str:
    """Return what stands against issuing an invoice now, or nothing."""
    now = account(job)
    if job.state not in IN_FULL and not (job.state in CALLED_OFF and now.owed > 0):
        return _("An invoice is issued from the day the vehicle is ready, or when something is owed.")
    if now.request is None:
        return _("The job has no price.")
    if standing(job):
        return _("There is an invoice. Take it back by a credit note to issue another.")
    workshop = the.current()
    if workshop is None or not workshop.tax_number.strip():
        return _("The workshop's tax number is missing: an invoice must name it.")
    if not BillingAddress.objects.filter(job=job).exists():
        return _("The customer's postal address is missing: an invoice must name it.")
    return ""


@transaction.atomic
def issue_invoice(*, job_id: int, by: Any, press: str = "") -> Invoice:
    """Issue the job's invoice; ``press`` makes issuing twice one. Raises ``PaymentError``."""
    job = jobs.locked(job_id)
    known = Invoice.objects.filter(press=press, job=job).first() if press else None
    if known:
        return known
    if missing := why_not(job):
        raise PaymentError(missing)
    # An invoice speaks to the customer.
    with translation.override(job.revision.language or settings.LANGUAGE_CODE):
        now = account(job)
        amounts = worked_out(lines_of(job, now), reductions_of(job, now), _rate_of(job))
        return _write(job, Invoice.Kind.INVOICE, amounts, by=by, press=press, prepaid=now.held)


def _rate_of(job: Job) -> Decimal:
    """Return the rate of the day of supply: one that was shown when the job was agreed may have changed."""
    workshop = the.current()
    assert workshop is not None  # noqa: S101 - ``why_not`` has seen to it
    return workshop.tax_rate_on(_supplied_on(job))


def _write(
    job: Job,
    kind: str,
    amounts: Amounts,
    *,
    by: Any,
    press: str = "",
    prepaid: Decimal = ZERO,
    corrects: Invoice | None = None,
    why: str = "",
) -> Invoice:
    """Write an invoice or credit note with the next number, and tell whoever makes its paper."""
    today = timezone.localdate()
    made = Invoice.objects.create(
        job=job,
        kind=kind,
        number=next_number(SERIES),
        corrects=corrects,
        issued_on=today,
        supplied_on=_supplied_on(job),
        currency=account(job).request.currency,  # type: ignore[union-attr]
        tax_rate_pct=amounts.rate_pct,
        net=amounts.net,
        tax=amounts.tax,
        rounding=amounts.rounding,
        gross=amounts.gross,
        prepaid=prepaid,
        content=_content(job, amounts, corrects, why),
        press=press or None,
        by=by,
    )
    action = "money.invoiced" if kind == Invoice.Kind.INVOICE else "money.credited"
    entry = jobs.record(
        job, actor(by or "system"), action, why=why, number=made.number, amount=str(made.gross)
    )
    jobs.promise_mail(job, "invoice" if kind == Invoice.Kind.INVOICE else "credit_note", entry.pk)
    invoice_issued.send(Invoice, invoice=made)
    refresh(job)
    return made


def _supplied_on(job: Job) -> Any:
    """Return the day of supply: the handover, or for now the day on which the vehicle was ready."""
    return timezone.localdate(job.handed_over_at or job.state_since)


def _content(job: Job, amounts: Amounts, corrects: Invoice | None, why: str) -> dict[str, Any]:
    workshop = the.current()
    assert workshop is not None  # noqa: S101 - ``why_not`` has seen to it
    request = account(job).request
    if corrects:
        buyer = corrects.content["buyer"]
    else:
        address = BillingAddress.objects.get(job=job)
        buyer = {name: getattr(address, name) for name in ADDRESS}
    revision = job.revision
    return {
        "seller": {name: getattr(workshop, name) for name in SELLER},
        "buyer": buyer,
        "job": job.number,
        "vehicle": " · ".join(filter(None, (job.spec.name, revision.registration, revision.vin))),
        "reference": request.reference if request else "",
        "lines": [_plain(line) for line in amounts.lines],
        "reductions": [_plain(line) for line in amounts.reductions],
        "language": revision.language or settings.LANGUAGE_CODE,
        "why": why,
    }


def _plain(line: Any) -> dict[str, str]:
    return {name: str(value) for name, value in asdict(line).items()}


@transaction.atomic
def credit_invoice(*, invoice_id: int, by: Any, why: str, press: str = "") -> Invoice:
    """Take back what is left of an invoice by a credit note; doing it twice does it once."""
    job = jobs.locked(Invoice.objects.values_list("job", flat=True).get(pk=invoice_id))
    invoice = Invoice.objects.get(pk=invoice_id)
    known = Invoice.objects.filter(press=press, job=job).first() if press else None
    if known:
        return known
    if invoice.kind != Invoice.Kind.INVOICE:
        raise PaymentError(_("A credit note is not taken back."))
    if invoice.left <= 0:
        raise PaymentError(_("Nothing of this invoice is left to take back."))
    if not why.strip():
        raise PaymentError(_("Say why: the customer reads it."), "why")
    return _credit(job, invoice, invoice.left, why.strip(), by, press)


def _credit(job: Job, invoice: Invoice, gross: Decimal, why: str, by: Any, press: str = "") -> Invoice:
    with translation.override(invoice.content["language"]):
        label = _("Credit for invoice %(number)s") % {"number": invoice.number}
        amounts = worked_out([Line(label, why, gross)], [], invoice.tax_rate_pct)
        return _write(
            job, Invoice.Kind.CREDIT_NOTE, amounts, by=by, press=press, corrects=invoice, why=why[:2000]
        )


def credit_if_other(job: Job, now: Account, why: Promise) -> Invoice | None:
    """Take the job's invoice back where it is of another amount than the job comes to now, if it has one.

    ``why`` is worded in the language of the invoice.
    """
    invoice = standing(job)
    if invoice is None or invoice.left == (now.owed if job.state in CALLED_OFF else now.price):
        return None
    with translation.override(invoice.content["language"]):
        return credit_invoice(invoice_id=invoice.pk, by=None, why=str(why))


def credit_reduction(reduction: Reduction) -> Invoice | None:
    """Write the credit note of something taken off the price after it was invoiced, if it was."""
    invoice = standing(reduction.job)
    if invoice is None:
        return None
    amount = min(reduction.amount, invoice.left)
    return _credit(reduction.job, invoice, amount, reduction.why, reduction.by)


def invoice_at_handover(job: Job, by: Any) -> Invoice | None:
    """Issue the invoice when the vehicle is handed over, where nothing stands against it."""
    if job.state != State.HANDED_OVER or why_not(job):
        return None
    return issue_invoice(job_id=job.pk, by=by)
