"""Words for what happened to a job and for who may do what."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

# Dotted action names are stable; these are the words for people.
ACTION_WORDS = {
    "job.opened": _("sent by the customer"),
    "job.entered_by_hand": _("entered by the workshop"),
    "job.entered_warranty": _("warranty visit entered"),
    "job.entered_complaint": _("complaint entered"),
    "job.followed": _("a visit afterwards was entered"),
    "change.proposed": _("change proposed to the customer"),
    "change.agreed": _("change agreed by the customer"),
    "change.refused": _("customer said no to a change"),
    "change.withdrawn": _("proposed change taken back"),
    "job.parts_wanted": _("more parts wanted"),
    "job.back_in_the_bay": _("back in the bay"),
    "job.taken_into_review": _("taken into review"),
    "job.customer_asked": _("customer asked"),
    "job.back_in_review": _("back in review"),
    "job.workshop_agreed": _("workshop agreed"),
    "job.customer_agreed": _("customer agreed"),
    "job.customer_agreed_by_telephone": _("customer agreed by telephone"),
    "job.contact_corrected": _("contact corrected"),
    "customer.photos_added": _("photos added by the customer"),
    "customer.photo_removed": _("photo removed by the customer"),
    "note.call": _("telephone call"),
    "note.inner": _("note for colleagues"),
    "job.agreed": _("agreed by both"),
    "job.reopened": _("opened for changes again"),
    "job.amended": _("build changed by the workshop"),
    "job.deposit_asked": _("deposit asked for"),
    "job.deposit_received": _("deposit received"),
    "job.deposit_came_early": _("deposit came early"),
    "job.parts_ordered": _("parts on order"),
    "job.parts_in": _("parts complete"),
    "job.booked": _("booked"),
    "job.work_started": _("work started"),
    "job.made_ready": _("made ready"),
    "job.handed_over": _("handed over"),
    "job.declined": _("declined"),
    "job.cancelled": _("cancelled"),
    "job.held": _("put on hold"),
    "job.released": _("hold lifted"),
    "job.link_renewed": _("customer’s link renewed"),
    "job.link_mailed": _("customer’s link mailed again"),
    "customer.forgotten": _("customer’s data erased"),
    "showing.agreed": _("agreed to be shown among finished builds"),
    "showing.declined": _("does not want to be shown among finished builds"),
    "showing.withdrawn": _("consent to be shown taken back"),
    "showing.published": _("shown among finished builds"),
    "showing.taken_down": _("no longer shown among finished builds"),
    "showing.thrown_away": _("what was prepared for showing deleted"),
    "tracking.consent_given": _("what the customer agreed to was kept"),
    "message.answer_reminder": _("reminded of the answer"),
    "message.booked_reminder": _("reminded of the day"),
    "message.recheck_reminder": _("reminded of the recheck"),
    "job.measured": _("measured at the vehicle"),
    "job.rechecked": _("wheel fasteners checked again"),
    "parts.replaced": _("part replaced"),
    "parts.put_back": _("put back on the shelf"),
    "book_in.done": _("vehicle booked in"),
    "book_in.corrected": _("book-in put right"),
    "book_in.marked": _("condition mark added"),
    "step.done": _("step done"),
    "step.skipped": _("step left out"),
    "step.undone": _("step opened again"),
    "job.deposit_gone": _("deposit gone again"),
    "money.payment_booked": _("payment booked"),
    "money.payment_undone": _("payment undone"),
    "money.hold_waits": _("to be held up for its deposit too"),
    "money.payment_bounced": _("payment bounced"),
    "money.deposit_reminded": _("deposit reminded of"),
    "money.balance_reminded": _("balance reminded of"),
    "money.refund_decided": _("refund decided"),
    "money.refund_paid": _("refund paid out"),
    "money.refund_withdrawn": _("refund withdrawn"),
    "money.owed_decided": _("decided what is owed"),
    "money.reduced": _("taken off the price"),
    "money.address_given": _("address for the invoice given"),
    "money.invoiced": _("invoice issued"),
    "money.credited": _("credit note issued"),
    "job.dates_moved": _("dates moved"),
    "job.dates_taken_back": _("dates taken back"),
    "job.days_proposed": _("customer proposed other days"),
    "job.days_declined": _("proposed days not possible"),
    "job.date_stood_by": _("date kept all the same"),
}
ROLES = {
    "reviewer": _("reviewer"),
    "buyer": _("buyer"),
    "technician": _("technician"),
    "manager": _("manager"),
}


def happened(action: str) -> str:
    """Return what happened, in words."""
    return str(ACTION_WORDS.get(action, action.rpartition(".")[2].replace("_", " ")))


def role_names(roles: Iterable[str]) -> str:
    """Return roles in words, in the order of the alphabet."""
    return ", ".join(sorted(str(ROLES.get(role, role)) for role in roles)) or gettext("nobody")
