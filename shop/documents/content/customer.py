"""Papers for the customer: quote, specification, deposit request."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from configurator.builds.evaluation import Evaluation, Price
from configurator.catalogue import snapshot
from configurator.pages import told
from configurator.pages.amounts import total_label
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.jobs.states import State
from shop.money.account import Account, account
from shop.money.models import DepositRequest
from shop.money.payment_code import payment_code
from shop.money.references import in_fours

from . import words


class NoPaperError(ValueError):
    """There is nothing to put on such a paper yet; ``str(error)`` says what is missing."""


def no_quote(job: Job) -> str:
    """Return why there is no quote yet, or nothing."""
    return "" if job.revision.evaluation.get("price") else _("This build has no price yet.")


def no_deposit(job: Job) -> str:
    """Return why there is no deposit request, or nothing."""
    asked = job.deposit_requests.filter(superseded_at__isnull=True).exists()
    return "" if asked else _("No deposit has been asked for on this job.")


def quote(job: Job) -> dict[str, Any]:
    """Return what the quote says: lines, total with tax split, deposit, time and terms."""
    evaluation = _priced(job)
    price, work = evaluation.price, evaluation.work
    assert price is not None  # noqa: S101 - _priced has seen to it
    workshop = snapshot.current().workshop
    cash = price.currency
    return {
        "title": _("Quote"),
        "number": _number(job),
        "workshop": words.workshop_words(),
        "customer": words.customer_lines(job.revision),
        "facts": words.vehicle_facts(job.revision, evaluation),
        **words.picture(evaluation),
        "lines": [
            _split_up(told.told(line.label), line.parts, line.labour, line.amount, cash)
            for line in price.lines
        ],
        "total": _split_up(total_label(price.tax_rate_pct), price.parts, price.labour, price.total, cash),
        "split": [
            *_tax(price),
            [_("Deposit"), f"{words.money(price.deposit, cash)}: {told.told(price.deposit_why)}"],
            *([[_("Time in the workshop"), _time(work.bay_days)]] if work else []),
        ],
        "fit": [[words.axle(fit.position), told.told(fit.headline)] for fit in evaluation.fits.values()],
        "cautions": words.cautions(evaluation),
        "terms": words.paragraphs(job.revision.terms_text or (told.told(workshop.terms) if workshop else "")),
    }


def _tax(price: Price) -> list[list[str]]:
    """Return what of the price is tax; nothing of it where none is charged."""
    if not price.tax_rate_pct:
        return []
    rate = _("Tax %(rate)s %%") % {"rate": told.number(price.tax_rate_pct)}
    return [
        [_("Net"), words.money(price.net, price.currency)],
        [rate, words.money(price.tax, price.currency)],
    ]


def _split_up(label: str, parts: Decimal, labour: Decimal, amount: Decimal, cash: str) -> list[str]:
    """Return a row of the quote: what it is, and what of its amount is parts and what is labour."""
    return [label, *(words.money(each, cash) for each in (parts, labour, amount))]


def _time(days: int) -> str:
    return ngettext("%(days)s day", "%(days)s days", days) % {"days": days}


def _number(job: Job) -> str:
    revision = {"number": job.revision.number}
    return f"{job.number} · {_('revision %(number)s') % revision} · {words.day(job.revision.made_at)}"


def _priced(job: Job) -> Evaluation:
    evaluation = evaluation_of(job.revision)
    if evaluation.price is None:
        raise NoPaperError(no_quote(job))
    return evaluation


def specification(job: Job) -> dict[str, Any]:
    """Return everything that was chosen, with each verdict and its figures."""
    evaluation = evaluation_of(job.revision)
    return {
        "title": _("Specification"),
        "number": _number(job),
        "workshop": words.workshop_words(),
        "facts": [[_("Customer"), job.revision.name], *words.vehicle_facts(job.revision, evaluation)],
        **words.picture(evaluation),
        "summary": [told.told(line) for line in evaluation.summary],
        "colours": _colours(evaluation),
        "fit": words.fit_rows(evaluation),
        "parts": [
            [
                words.quantity(part.quantity, part.unit),
                words.identified(evaluation, part.name, part.facts),
                told.told(part.where),
                told.told(part.why),
            ]
            for part in evaluation.parts
        ],
        "notes": words.paragraphs(job.revision.notes),
        "cautions": words.cautions(evaluation),
        "local_codes": words.paragraphs(_local_codes()),
    }


def _colours(evaluation: Evaluation) -> list[list[str]]:
    found = []
    for role, colour in ((_("Body"), evaluation.body), (_("Accent"), evaluation.accent)):
        if colour:
            said = f" · {colour.paint_code}" if colour.paint_code else ""
            found.append([role, colour.hex, f"{told.told(colour.name)}{said}"])
    return found


def _local_codes() -> str:
    workshop = snapshot.current().workshop
    return told.told(workshop.local_codes) if workshop else ""


def deposit(job: Job) -> dict[str, Any]:
    """Return what is asked for now, with bank details and payment code: the deposit, or the balance."""
    request = job.deposit_requests.filter(superseded_at__isnull=True).first()
    if request is None:
        raise NoPaperError(no_deposit(job))
    evaluation = evaluation_of(job.revision)
    now = account(job)
    cash = request.currency
    qr, missing = payment_code(request, now.outstanding) if now.outstanding else (None, "")
    return {
        "title": _("Balance due") if now.is_balance else _("Deposit request"),
        "number": f"{job.number} · {words.day(now.since if now.is_balance else request.made_at)}",
        "workshop": words.workshop_words(),
        "customer": words.customer_lines(job.revision),
        "facts": [
            [_("Job"), job.number],
            [_("Revision"), str(job.revision.number)],
            [_("Vehicle"), words.vehicle_name(evaluation)],
            [_("Request"), str(request.number)],
        ],
        "heading": _("Please transfer") if now.outstanding else _("Paid in full, thank you"),
        "amount": words.money(now.outstanding or now.asked, cash),
        "due": _due(job, now),
        "bank": _bank(request),
        "qr": qr,
        "qr_missing": missing,
        "reference_note": _(
            "Please give the reference and nothing else, so that your payment finds your job."
        )
        if now.outstanding
        else "",
        "lines": _asked_and_paid(now, cash, evaluation.price),
        "why": _("The deposit is: %(why)s.") % {"why": told.told(evaluation.spoken(request.why))}
        if request.why and not now.is_balance
        else "",
        "cautions": words.cautions(evaluation),
        "terms": words.paragraphs(job.revision.terms_text),
    }


def _asked_and_paid(now: Account, cash: str, price: Price | None) -> list[list[str]]:
    """Return the rows under the amount: the whole price, what of it is asked in advance, what is paid."""
    taxed = bool(price and price.tax_rate_pct)
    whole = _("Price of the whole job, tax included") if taxed else _("Price of the whole job")
    lines = [[whole, words.money(now.price, cash)]]
    if not now.is_balance:
        lines.append([_("Deposit asked for"), words.money(now.deposit, cash)])
    if now.held:
        lines.append([_("Paid so far"), words.money(now.held, cash)])
        lines.append([_("Still to pay"), words.money(now.outstanding, cash)])
    return lines


def _due(job: Job, now: Account) -> str:
    """Return by when it is to be paid; a balance when the vehicle is collected."""
    if not now.due_on:
        return ""
    return (
        _("when you collect it")
        if job.state == State.READY
        else _("by %(day)s") % {"day": words.day(now.due_on)}
    )


def _bank(request: DepositRequest) -> list[list[str]]:
    payee = request.pay_to
    iban = payee.get("iban", "")
    rows = [
        [_("Payee"), payee.get("name", "")],
        [_("IBAN"), in_fours(iban)],
        [_("BIC"), payee.get("bic", "")],
        [_("Reference"), in_fours(request.reference)],
    ]
    return [row for row in rows if row[1]]
