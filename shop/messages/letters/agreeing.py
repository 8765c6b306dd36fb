"""From sending a build to the yes of both: thanks, questions, offers, a no, and the link to it all."""

from __future__ import annotations

from django.utils.translation import gettext as _

from configurator.pages.amounts import price_label
from configurator.pages.told import told
from shop.messages.words import money

from .letter import Letter, Occasion, follow, keep_private, letter


@letter("confirmation")
def confirmation(on: Occasion) -> Letter:
    """Write after sending: what we have, what happens next, nothing to pay yet."""
    price = on.evaluation.price
    facts = [(_("Job"), on.job.number)]
    if on.revision.registration:
        facts.append((_("Registration"), on.revision.registration))
    if price:
        facts.append((price_label(price.tax_rate_pct), money(price.total, price.currency)))
        if price.deposit:
            facts.append((_("Deposit, once agreed"), money(price.deposit, price.currency)))
    if on.evaluation.work:
        facts.append(
            (_("In the workshop"), _("about %(days)s working days") % {"days": on.evaluation.work.bay_days})
        )
    return Letter(
        subject=_("We have your build: %(number)s") % {"number": on.job.number},
        heading=_("Thank you, %(name)s. Your build is with us.") % {"name": on.revision.name},
        paragraphs=(
            _(
                "A person looks through it, checks it against your vehicle and answers you here by mail. "
                "Nothing is ordered and nothing is to be paid before you and we have agreed on one "
                "version of the build. Only then do we ask for the deposit."
            )
            if price is None or price.deposit
            else _(
                "A person looks through it, checks it against your vehicle and answers you here by mail. "
                "Nothing is ordered before you and we have agreed on one version of the build, and nothing "
                "is asked for in advance."
            ),
        ),
        facts=tuple(facts),
        points=tuple(told(line) for line in on.evaluation.summary),
        button=follow(),
        after=(keep_private(),),
        has_picture=True,
    )


@letter("in_review")
def in_review(on: Occasion) -> Letter:
    """Write when a reviewer has taken the job."""
    return Letter(
        subject=_("We are looking at your build: %(number)s") % {"number": on.job.number},
        heading=_("Your build is on the desk."),
        paragraphs=(
            _("We check every part against your vehicle now. If something has to change, we ask you first."),
        ),
        button=follow(),
    )


@letter("question")
def question(on: Occasion) -> Letter:
    """Write when the workshop asks something."""
    return Letter(
        subject=_("A question about your build: %(number)s") % {"number": on.job.number},
        heading=_("We have a question about your build."),
        paragraphs=(_("The job waits for your answer. You can write it on your page."),),
        quote=on.why,
        button=_("Read and answer"),
    )


@letter("offer")
def offer(on: Occasion) -> Letter:
    """Write when the workshop has changed the build and needs a yes."""
    price = on.evaluation.price
    facts = [(_("Version"), str(on.revision.number))]
    if price:
        facts.append((price_label(price.tax_rate_pct), money(price.total, price.currency)))
        if price.deposit:
            facts.append((_("Deposit"), money(price.deposit, price.currency)))
    return Letter(
        subject=_("Please look at a change to your build: %(number)s") % {"number": on.job.number},
        heading=_("We have changed something and need your yes."),
        paragraphs=(
            _("Your page shows what differs from the version before. Accept it, or write to us."),
            _("Nothing goes ahead until you accept."),
        ),
        facts=tuple(facts),
        quote=on.why,
        button=_("See the change"),
        has_picture=True,
    )


@letter("answer_reminder")
def answer_reminder(on: Occasion) -> Letter:
    """Write when an answer is overdue."""
    return Letter(
        subject=_("We are waiting for your answer: %(number)s") % {"number": on.job.number},
        heading=_("Your job is waiting for you."),
        paragraphs=(_("We asked you something and cannot go on without your answer."),),
        quote=on.why,
        button=_("Read and answer"),
    )


def _money_back(on: Occasion) -> tuple[str, ...]:
    if on.held is None:
        return (_("Nothing was paid, so nothing is owed."),)
    amount, currency = on.held
    back = {"amount": money(amount, currency)}
    return (_("We hold %(amount)s of yours and tell you separately what goes back and when.") % back,)


@letter("declined")
def declined(on: Occasion) -> Letter:
    """Write when the workshop says no, with the reason."""
    return Letter(
        subject=_("We cannot do this job: %(number)s") % {"number": on.job.number},
        heading=_("We are sorry: we cannot do this job."),
        paragraphs=(_("This is why:"),),
        quote=on.why,
        button=follow(),
        after=_money_back(on),
    )


@letter("cancelled")
def cancelled(on: Occasion) -> Letter:
    """Write when a job was called off."""
    return Letter(
        subject=_("Called off: %(number)s") % {"number": on.job.number},
        heading=_("The job has been called off."),
        paragraphs=(_("The reason given:"),),
        quote=on.why,
        button=follow(),
        after=_money_back(on),
    )


@letter("new_link")
def new_link(on: Occasion) -> Letter:
    """Write with the link that works now."""
    return Letter(
        subject=_("Your link to %(number)s") % {"number": on.job.number},
        heading=_("Here is your private link."),
        paragraphs=(_("It leads to the page of your job. An older link may have stopped working."),),
        button=follow(),
        after=(keep_private(), _("If you did not ask for it, you need not do anything.")),
    )


@letter("message")
def message(on: Occasion) -> Letter:
    """Write when the workshop has written on the page."""
    return Letter(
        subject=_("A message about your job: %(number)s") % {"number": on.job.number},
        heading=_("We have written to you."),
        paragraphs=(),
        quote=on.why,
        button=_("Read and answer"),
    )


@letter("customer_wrote")
def customer_wrote(on: Occasion) -> Letter:
    """Write to the workshop when the customer has written on the page."""
    return Letter(
        subject=_("%(number)s: the customer has written") % {"number": on.job.number},
        heading=_("%(name)s has written.") % {"name": on.revision.name},
        paragraphs=(_("Answer it on the job's page in the workshop."),),
        quote=on.why,
        to_workshop=True,
    )
