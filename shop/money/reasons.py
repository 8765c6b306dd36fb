"""Why a movement stands where it stands: kept as a code with values, told in the reader's language."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

REASONS = {
    "by_reference": _("by reference"),
    "by_document": _("by document number and amount"),
    "by_hand": _("by hand"),
    "split": _("split by hand over %(count)s jobs"),
    "refund": _("refund paid out"),
    "bounced": _("takes back the payment of %(day)s"),
    "went_out": _("went out"),
    "no_reference": _("No known reference"),
    "near": _("One slip away from the reference of %(numbers)s: it may be another job's"),
    "several": _("Names several jobs: %(numbers)s"),
    "document": _("Names %(numbers)s, but not the amount still to come"),
    "currency": _("In %(currency)s, asked for in %(asked)s"),
    "no_refund": _("Went out, but no refund of this amount was decided"),
    "reversal": _("Takes back a payment that is not known here"),
    "came_back": _("Money that had gone out came back"),
    "later": _("Dated %(day)s: it is matched on that day"),
    "failed": _("Could not be booked: %(error)s"),
    "undone": _("Match undone"),
    "brought_back": _("Brought back"),
    "aside": _("not a deposit"),
    "doubt": _("May be the movement that %(file)s told"),
    "same": _("the same as in %(file)s"),
    "another": _("another one than in %(file)s"),
}


BOOKING = {
    "amount_nothing": _("Enter an amount above nothing."),
    "day_to_come": _("The day is still to come."),
    "day_long_ago": _("That is more than five years ago. Is the year right?"),
    "form_used": _(
        "This form has already been sent, with %(amount)s. Nothing was booked now. "
        "Look at the list, and open the page anew to book another."
    ),
    "refund_withdrawn": _("This refund was withdrawn."),
}
"""Why money cannot be booked, where it may happen without anybody there to read it."""
LEFT_OUT = {
    "account": _("account %(account)s: %(count)s movements"),
    "row": _("row %(row)s"),
}
"""What of a statement's file was left out."""


def in_words(reason: str, values: Mapping[str, Any]) -> str:
    """Return the sentence of a reason; an unknown one, or one whose values are gone, gives its code."""
    try:
        return str(REASONS[reason]) % {k: _value(v) for k, v in values.items()} if reason else ""
    except KeyError:
        return reason


def why_not_booked(reason: str, values: Mapping[str, Any]) -> str:
    """Return the sentence of a reason of ``BOOKING``."""
    return str(BOOKING[reason]) % values


def left_out_in_words(kept: Mapping[str, Any] | str) -> str:
    """Return what was left out of a file; older files kept the sentence itself."""
    return kept if isinstance(kept, str) else str(LEFT_OUT[kept["what"]]) % kept


def _value(value: Any) -> Any:
    """Return a value as it is read: a kept reason in words, anything else as it is."""
    if isinstance(value, dict) and value.get("reason") in BOOKING:
        return why_not_booked(value["reason"], value.get("values", {}))
    return value


BOUNCED, BOUNCE_UNDONE, MATCH_UNDONE, BY_HAND = "bounced", "bounce undone", "match undone", "by hand"
NOTES = {
    BOUNCED: _("the bank took it back"),
    BOUNCE_UNDONE: _("it was not taken back after all"),
    MATCH_UNDONE: _("matched to the wrong job"),
    BY_HAND: _("by hand"),
    "by reference": _("by reference"),
    "by document": _("by document number and amount"),
}
"""What the program notes at a payment or refund, by how it is kept; a person's note is in none of these."""


def note_in_words(note: str) -> str:
    """Return a note for the reader: the program's own in their language, a person's as they typed it."""
    return str(NOTES.get(note, note))
