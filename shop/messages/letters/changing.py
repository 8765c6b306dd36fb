"""Jobs entered by hand, and changes to agreed ones: asked, agreed, taken back."""

from __future__ import annotations

from django.utils.translation import gettext as _

from configurator.pages.amounts import price_label
from configurator.pages.told import told
from shop.messages.words import money

from .letter import Letter, Occasion, follow, keep_private, letter
from .paying import bank_facts


@letter("entered")
def entered(on: Occasion) -> Letter:
    """Write when the workshop has entered a job: what it is, and the link to follow it."""
    price = on.evaluation.price
    facts = [(_("Job"), on.job.number)]
    if price and price.total:
        facts.append((price_label(price.tax_rate_pct), money(price.total, price.currency)))
    if price and price.deposit:
        facts.append((_("Deposit, once agreed"), money(price.deposit, price.currency)))
    return Letter(
        subject=_("Your job with us: %(number)s") % {"number": on.job.number},
        heading=_("We have written your job down."),
        paragraphs=(
            _(
                "This is what we noted when we spoke. You can follow the job on your page and write to us "
                "there."
            ),
        ),
        facts=tuple(facts),
        points=tuple(told(line) for line in on.evaluation.summary),
        button=follow(),
        after=(keep_private(),),
    )


@letter("change_proposed")
def change_proposed(on: Occasion) -> Letter:
    """Write when something was found or is to be changed, and the customer's yes is needed."""
    return Letter(
        subject=_("We need your yes: %(number)s") % {"number": on.job.number},
        heading=_("We have found something, or would like to change something."),
        paragraphs=(
            _("Your page shows what it is and what it costs. Nothing of it is done before you say yes."),
            _("If you say no, the job goes on as we agreed."),
        ),
        quote=on.why,
        button=_("Look and answer"),
    )


@letter("change_agreed")
def change_agreed(on: Occasion) -> Letter:
    """Write when the customer has said yes to a change: the new price, and what is to be paid."""
    price, deposit = on.evaluation.price, on.deposit
    facts = [(price_label(price.tax_rate_pct), money(price.total, price.currency))] if price else []
    owes = deposit is not None and deposit.outstanding > 0
    paragraphs = [_("Thank you. We have noted your yes and go on with the job as changed.")]
    if owes:
        paragraphs.append(_("Part of it is asked for in advance. Please transfer what is named below."))
    return Letter(
        subject=_("Agreed: a change to your job %(number)s") % {"number": on.job.number},
        heading=_("The change is agreed."),
        paragraphs=tuple(paragraphs),
        facts=(*facts, *(bank_facts(deposit) if deposit and owes else ())),
        quote=on.why,
        button=follow(),
    )


@letter("change_withdrawn")
def change_withdrawn(on: Occasion) -> Letter:
    """Write when the workshop takes back what it had proposed."""
    return Letter(
        subject=_("No answer needed any more: %(number)s") % {"number": on.job.number},
        heading=_("We have taken back what we proposed."),
        paragraphs=(_("The job goes on as agreed. You need not do anything."),),
        quote=on.why,
        button=follow(),
    )
