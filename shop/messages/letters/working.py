"""From the order of the parts to the recheck after the handover, with the dates between."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shop.messages.words import day, moment

from .letter import Letter, Occasion, follow, letter
from .paying import balance, balance_facts


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
            *balance(on.deposit),
        ),
        facts=(
            *balance_facts(on.deposit),
            (_("Where"), f"{on.workshop.street}, {on.workshop.postcode} {on.workshop.town}"),
            (_("Telephone"), on.workshop.phone),
        ),
        button=_("See the photos"),
        has_picture=True,
    )


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
