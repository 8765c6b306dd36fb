"""What each mail says, once, for the text and the HTML part alike.

A letter is data: a subject, a heading, paragraphs, facts in two columns and one button. The words are
in the reader's language when the function is called under that language.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.models import SpecRevision, Workshop
from configurator.pages.told import told
from shop.jobs.models import Job
from shop.money.references import in_fours

from .words import day, moment, money


@dataclass(frozen=True)
class Deposit:
    """What is asked for, as a letter tells it: the deposit, or from ready on the balance.

    ``price`` is that of the whole job, ``paid`` what is held, ``outstanding`` what is to be paid now.
    """

    amount: Decimal
    currency: str
    reference: str
    due: str
    payee: str
    iban: str
    bic: str
    paid: Decimal
    outstanding: Decimal
    price: Decimal
    is_more: bool = False


@dataclass(frozen=True)
class Occasion:
    """What a letter may speak of. ``why`` is the reason, question or message that caused it.

    ``held`` is what the workshop has of the customer's money; ``going_back`` what goes back of it,
    what is kept, and the currency.
    """

    job: Job
    revision: SpecRevision
    evaluation: Evaluation
    workshop: Workshop
    link: str
    why: str = ""
    deposit: Deposit | None = None
    held: tuple[Decimal, str] | None = None
    going_back: tuple[Decimal, Decimal, str] | None = None


@dataclass(frozen=True)
class Letter:
    """One mail in words. ``quote`` is someone's own text, ``after`` stands below the button."""

    subject: str
    heading: str
    paragraphs: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    quote: str = ""
    button: str = ""
    after: tuple[str, ...] = ()
    has_picture: bool = False
    to_workshop: bool = False
    points: tuple[str, ...] = field(default=())


Writer = Callable[[Occasion], Letter]
LETTERS: dict[str, Writer] = {}


def letter(kind: str) -> Callable[[Writer], Writer]:
    """Register the function that writes this kind of mail."""

    def register(writer: Writer) -> Writer:
        LETTERS[kind] = writer
        return writer

    return register


def follow() -> str:
    """Return what the usual button says."""
    return _("See where your job stands")


def keep_private() -> str:
    """Return the usual word on the private link."""
    return _("The link is private: anyone who has it sees this job. Keep it to yourself.")


@letter("confirmation")
def confirmation(on: Occasion) -> Letter:
    """Write after sending: what we have, what happens next, nothing to pay yet."""
    price = on.evaluation.price
    facts = [(_("Job"), on.job.number)]
    if on.revision.registration:
        facts.append((_("Registration"), on.revision.registration))
    if price:
        facts.append((_("Price, tax included"), money(price.total, price.currency)))
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
        facts.append((_("Price, tax included"), money(price.total, price.currency)))
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


def _bank(deposit: Deposit) -> tuple[tuple[str, str], ...]:
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
    facts = _bank(on.deposit) if on.deposit else ()
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
        facts=_bank(on.deposit) if on.deposit and owes else (),
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
        facts=_bank(on.deposit) if on.deposit else (),
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


@letter("parts_on_order")
def parts_on_order(on: Occasion) -> Letter:
    """Write when everything that was missing is ordered."""
    return Letter(
        subject=_("Your parts are on order: %(number)s") % {"number": on.job.number},
        heading=_("Your parts are on order."),
        paragraphs=(_("When all of them are here we fix the dates with you."),),
        button=follow(),
    )


@letter("parts_in")
def parts_in(on: Occasion) -> Letter:
    """Write when every part is here."""
    return Letter(
        subject=_("Your parts are here: %(number)s") % {"number": on.job.number},
        heading=_("All parts are here."),
        paragraphs=(_("Next we fix the dates. You get them by mail, with a calendar file on your page."),),
        button=follow(),
    )


def _dates(on: Occasion) -> tuple[tuple[str, str], ...]:
    rows = []
    if on.job.booked_start:
        rows.append((_("Bring the vehicle"), moment(on.job.booked_start)))
    if on.job.promised_ready_at:
        rows.append((_("Ready, as planned"), moment(on.job.promised_ready_at)))
    rows.append((_("Where"), f"{on.workshop.street}, {on.workshop.postcode} {on.workshop.town}"))
    return tuple(rows)


@letter("booked")
def booked(on: Occasion) -> Letter:
    """Write when the dates are fixed."""
    return Letter(
        subject=_("Your dates: %(number)s") % {"number": on.job.number},
        heading=_("The dates are fixed."),
        paragraphs=(
            _("Please bring the vehicle clean and empty, with the key of the locking bolts if it has any."),
        ),
        facts=_dates(on),
        button=_("Put it in your calendar"),
        after=(
            _("If the day does not suit you, write to us on your page or call %(phone)s.")
            % {"phone": on.workshop.phone},
        ),
    )


@letter("dates_moved")
def dates_moved(on: Occasion) -> Letter:
    """Write when fixed dates were moved."""
    return Letter(
        subject=_("New dates: %(number)s") % {"number": on.job.number},
        heading=_("Your dates have changed."),
        paragraphs=(_("We are sorry for the change. These dates take the place of the earlier ones."),),
        facts=_dates(on),
        button=_("Put it in your calendar"),
        after=(
            _("If the day does not suit you, propose others on your page or call %(phone)s.")
            % {"phone": on.workshop.phone},
        ),
    )


@letter("dates_taken_back")
def dates_taken_back(on: Occasion) -> Letter:
    """Write when fixed dates were taken back."""
    return Letter(
        subject=_("Your dates no longer hold: %(number)s") % {"number": on.job.number},
        heading=_("Please do not bring the vehicle yet."),
        paragraphs=(
            _("We have had to take the dates back. You get new ones by mail as soon as they are fixed."),
        ),
        quote=on.why,
        button=_("Propose days that suit you"),
    )


@letter("days_not_possible")
def days_not_possible(on: Occasion) -> Letter:
    """Write when none of the days that the customer proposed is possible."""
    return Letter(
        subject=_("About the days you proposed: %(number)s") % {"number": on.job.number},
        heading=_("Those days are not possible."),
        paragraphs=(),
        facts=_dates(on) if on.job.booked_start else (),
        quote=on.why,
        button=_("Propose other days"),
    )


@letter("booked_reminder")
def booked_reminder(on: Occasion) -> Letter:
    """Write the day before the vehicle is due."""
    return Letter(
        subject=_("See you tomorrow: %(number)s") % {"number": on.job.number},
        heading=_("We expect your vehicle tomorrow."),
        paragraphs=(
            _("Please bring the vehicle clean and empty, with the key of the locking bolts if it has any."),
        ),
        facts=_dates(on),
        button=follow(),
    )


@letter("in_the_bay")
def in_the_bay(on: Occasion) -> Letter:
    """Write when work has begun."""
    ready = on.job.promised_ready_at
    return Letter(
        subject=_("We have started: %(number)s") % {"number": on.job.number},
        heading=_("Your vehicle is in the bay."),
        paragraphs=(_("We call you when it is ready. Photos of the work appear on your page."),),
        facts=((_("Ready, as planned"), moment(ready)),) if ready else (),
        button=follow(),
    )


@letter("ready")
def ready(on: Occasion) -> Letter:
    """Write when everything is done."""
    return Letter(
        subject=_("Your vehicle is ready: %(number)s") % {"number": on.job.number},
        heading=_("It is ready."),
        paragraphs=(
            _("Everything is fitted and checked. Please come and collect it: we go round it with you."),
            *_balance(on.deposit),
        ),
        facts=(
            *_balance_facts(on.deposit),
            (_("Where"), f"{on.workshop.street}, {on.workshop.postcode} {on.workshop.town}"),
            (_("Telephone"), on.workshop.phone),
        ),
        button=_("See the photos"),
        has_picture=True,
    )


def _balance(deposit: Deposit | None) -> tuple[str, ...]:
    if deposit is None or deposit.outstanding <= 0:
        return ()
    return (
        _(
            "The balance is due now: transfer it with the reference exactly as it is printed, or pay when "
            "you collect it. Your page has a payment code for your bank's app."
        ),
    )


def _balance_facts(deposit: Deposit | None) -> tuple[tuple[str, str], ...]:
    if deposit is None:
        return ()
    price = (_("Price, tax included"), money(deposit.price, deposit.currency))
    paid = (_("Paid so far"), money(deposit.paid, deposit.currency))
    if deposit.outstanding <= 0:
        return (price, paid)
    (_label, amount), *bank = _bank(deposit)
    return (price, paid, (_("Balance to pay"), amount), *bank)


@letter("handed_over")
def handed_over(on: Occasion) -> Letter:
    """Write after the handover, with the recheck when wheels were off."""
    paragraphs = [_("Thank you for your trust. What was fitted is on your page and in your papers.")]
    facts: tuple[tuple[str, str], ...] = ()
    if on.job.recheck_due_on:
        paragraphs.append(recheck_words())
        facts = ((_("Recheck at the latest"), day(on.job.recheck_due_on)),)
    paragraphs.append(
        _("Tell your insurer what was fitted. Your local code says whether it must be inspected.")
    )
    return Letter(
        subject=_("Drive safely: %(number)s") % {"number": on.job.number},
        heading=_("Your vehicle is yours again."),
        paragraphs=tuple(paragraphs),
        facts=facts,
        button=_("See your papers"),
        has_picture=True,
    )


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
        facts=_balance_facts(on.deposit),
        button=follow(),
    )


@letter("invoice")
def invoice(on: Occasion) -> Letter:
    """Write when the invoice is there."""
    owes = on.deposit is not None and on.deposit.outstanding > 0
    after = _balance(on.deposit) if owes else (_("It is paid in full, thank you."),)
    return Letter(
        subject=_("Your invoice: %(number)s") % {"number": on.job.number},
        heading=_("Your invoice is ready."),
        paragraphs=(_("You find it among the papers on your page, as a PDF to keep."), *after),
        facts=_balance_facts(on.deposit),
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


def recheck_words() -> str:
    """Return the usual caution after wheels were off. Common practice, no source."""
    return _(
        "Your wheels were off. Have the wheel fasteners checked with a torque wrench after 50 to 100 km: "
        "come by, it takes a few minutes. Until then, stop if you hear or feel anything unusual at a wheel."
    )


@letter("recheck_reminder")
def recheck_reminder(on: Occasion) -> Letter:
    """Write on the day by which the wheel fasteners should have been checked."""
    due = on.job.recheck_due_on
    return Letter(
        subject=_("Please have your wheel fasteners checked: %(number)s") % {"number": on.job.number},
        heading=_("Time for the check of your wheel fasteners."),
        paragraphs=(recheck_words(), _("If it has been done already, there is nothing more to do.")),
        facts=((_("Due"), day(due)),) if due else (),
        button=follow(),
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
