"""What is to be paid, what came in, what goes back, and the papers about it."""

from __future__ import annotations

from django.utils.translation import gettext as _

from configurator.pages.amounts import price_label
from shop.messages.words import money
from shop.money.references import in_fours

from .letter import Deposit, Letter, Occasion, follow, letter


def bank_facts(deposit: Deposit) -> tuple[tuple[str, str], ...]:
    """Return what a transfer needs: amount, day, reference and account."""
    rows = [
        (_("Amount"), money(deposit.outstanding, deposit.currency)),
        *([(_("Due"), deposit.due)] if deposit.due else []),
        (_("Reference"), deposit.reference),
        (_("Payee"), deposit.payee),
        (_("IBAN"), in_fours(deposit.iban)),
    ]
    return (*rows, (_("BIC"), deposit.bic)) if deposit.bic else tuple(rows)


@letter("deposit_request")
def deposit_request(on: Occasion) -> Letter:
    """Write when both agreed: how to pay the deposit."""
    facts = bank_facts(on.deposit) if on.deposit else ()
    return Letter(
        subject=_("Agreed. Your deposit for %(number)s") % {"number": on.job.number},
        heading=_("We have agreed. Now the deposit."),
        paragraphs=(
            _("You and we have said yes to version %(version)s of the build.")
            % {"version": on.revision.number},
            *_more(on.deposit),
            _(
                "Please transfer the deposit with the reference exactly as it is printed. When it is in, "
                "we order the parts. Your page has a payment code for your bank's app."
            ),
        ),
        facts=facts,
        button=_("See the deposit request"),
    )


def _more(deposit: Deposit | None) -> tuple[str, ...]:
    """Say that a deposit adds to an earlier one, when it does."""
    if deposit is None or not deposit.is_more:
        return ()
    paid, amount = (money(figure, deposit.currency) for figure in (deposit.paid, deposit.amount))
    return (
        _(
            "The deposit for this version is %(amount)s. You have paid %(paid)s of it; only the rest is "
            "asked for."
        )
        % {"amount": amount, "paid": paid},
    )


@letter("payment_gone")
def payment_gone(on: Occasion) -> Letter:
    """Write when a payment was undone or went back, and what is to be paid again."""
    owes = on.deposit is not None and on.deposit.outstanding > 0
    paragraphs = [
        _("A payment for your job was taken back or could not be kept, so it does not count any more.")
    ]
    if owes:
        paragraphs.append(
            _(
                "Please pay what is missing. Until it is here the job waits, and dates that were fixed no "
                "longer hold."
            )
        )
    return Letter(
        subject=_("A payment is missing: %(number)s") % {"number": on.job.number},
        heading=_("A payment has not stayed with us."),
        paragraphs=tuple(paragraphs),
        facts=bank_facts(on.deposit) if on.deposit and owes else (),
        button=follow(),
    )


@letter("deposit_reminder")
def deposit_reminder(on: Occasion) -> Letter:
    """Write when the deposit is overdue."""
    return Letter(
        subject=_("Reminder: the deposit for %(number)s") % {"number": on.job.number},
        heading=_("Your deposit has not reached us yet."),
        paragraphs=(
            _("Parts are ordered when it is in. If you have just paid, thank you: nothing more to do."),
            _("If something is in the way, write to us on your page."),
        ),
        facts=bank_facts(on.deposit) if on.deposit else (),
        button=_("See the deposit request"),
    )


@letter("deposit_received")
def deposit_received(on: Occasion) -> Letter:
    """Write when the deposit is in."""
    facts = ((_("Received"), money(on.deposit.paid, on.deposit.currency)),) if on.deposit else ()
    return Letter(
        subject=_("Your deposit is in: %(number)s") % {"number": on.job.number},
        heading=_("Thank you, your deposit is in."),
        paragraphs=(_("We order what your build needs now and plan the work."),),
        facts=facts,
        button=follow(),
    )


def balance(deposit: Deposit | None) -> tuple[str, ...]:
    """Ask for what is left of the price, where something is."""
    if deposit is None or deposit.outstanding <= 0:
        return ()
    return (
        _(
            "The balance is due now: transfer it with the reference exactly as it is printed, or pay when "
            "you collect it. Your page has a payment code for your bank's app."
        ),
    )


def balance_facts(deposit: Deposit | None) -> tuple[tuple[str, str], ...]:
    """Return price, what was paid and what is left of it."""
    if deposit is None:
        return ()
    price = (price_label(deposit.tax_rate_pct), money(deposit.price, deposit.currency))
    paid = (_("Paid so far"), money(deposit.paid, deposit.currency))
    if deposit.outstanding <= 0:
        return (price, paid)
    (_label, amount), *bank = bank_facts(deposit)
    return (price, paid, (_("Balance to pay"), amount), *bank)


@letter("balance_reminder")
def balance_reminder(on: Occasion) -> Letter:
    """Write when what is owed after the handover, or for a job that was called off, is overdue."""
    return Letter(
        subject=_("Reminder: the payment for %(number)s") % {"number": on.job.number},
        heading=_("Something is still to be paid."),
        paragraphs=(
            _("If you have just paid, thank you: nothing more to do."),
            _("If something is in the way, write to us on your page."),
        ),
        facts=balance_facts(on.deposit),
        button=follow(),
    )


@letter("invoice")
def invoice(on: Occasion) -> Letter:
    """Write when the invoice is there."""
    owes = on.deposit is not None and on.deposit.outstanding > 0
    after = balance(on.deposit) if owes else (_("It is paid in full, thank you."),)
    return Letter(
        subject=_("Your invoice: %(number)s") % {"number": on.job.number},
        heading=_("Your invoice is ready."),
        paragraphs=(_("You find it among the papers on your page, as a PDF to keep."), *after),
        facts=balance_facts(on.deposit),
        button=_("See your papers"),
    )


@letter("credit_note")
def credit_note(on: Occasion) -> Letter:
    """Write when an invoice was taken back, in whole or in part."""
    return Letter(
        subject=_("A credit note for your invoice: %(number)s") % {"number": on.job.number},
        heading=_("We have taken back an invoice, or part of it."),
        paragraphs=(_("You find the credit note among the papers on your page. This is why:"),),
        quote=on.why,
        button=_("See your papers"),
    )


@letter("refund")
def refund(on: Occasion) -> Letter:
    """Write when it is decided what goes back."""
    facts: list[tuple[str, str]] = []
    if on.going_back:
        amount, kept, currency = on.going_back
        facts.append((_("Goes back to you"), money(amount, currency)))
        if kept > 0:
            facts.append((_("Kept"), money(kept, currency)))
    return Letter(
        subject=_("Your money back: %(number)s") % {"number": on.job.number},
        heading=_("This is what goes back to you."),
        paragraphs=(
            _("We transfer it to the account it came from. If that no longer exists, tell us on your page."),
        ),
        facts=tuple(facts),
        quote=on.why,
        button=follow(),
    )
