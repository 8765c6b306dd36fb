"""The words that stand in the papers' templates, in the language that is active."""

from __future__ import annotations

from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

LABELS = {
    "to": _("To"),
    "payment_code": _("Payment code"),
    "scan": _("Scan with your bank’s app"),
    "what_for": _("What it is for"),
    "amount": _("Amount"),
    "terms": _("Terms"),
    "keep_in_mind": _("Please keep in mind"),
    "fitted": _("What was fitted"),
    "came_in": _("As it came in"),
    "condition": _("Condition"),
    "torque_record": _("Torque record"),
    "paint": _("Paint"),
    "left_out": _("Left out, with the reason"),
    "insurer": _("Note for your insurer"),
    "part": _("Part"),
    "part_number": _("Part number"),
    "where": _("Where"),
    "axle": _("Axle"),
    "target": _("Target"),
    "readings": _("Readings, N m"),
    "by": _("By"),
    "on_day": _("On"),
    "colour": _("Colour"),
    "code": _("Code"),
    "system": _("System"),
    "used_on": _("Used on"),
    "step": _("Step"),
    "reason": _("Reason"),
    "look_after": _("Please look after"),
    "sign_workshop": _("Workshop, date"),
    "sign_customer": _("Customer, date"),
    "insurer_note": _(
        "This note lists changes; it does not say that they are approved for the road. "
        "Local codes decide, and whoever examines the vehicle."
    ),
    "customer_notes": _("Customer’s notes"),
    "measure_first": _("Measure at the vehicle first"),
    "check": _("Check"),
    "limit": _("Limit"),
    "measured": _("Measured"),
    "steps": _("Steps"),
    "place": _("Place"),
    "hands": _("Hands"),
    "wait": _("Wait"),
    "who_when": _("Who, when"),
    "paint_to_mix": _("Paint to mix"),
    "system_and_coat": _("System and coat"),
    "mix": _("Mix"),
    "dry_film": _("Dry film"),
    "voc": _("VOC"),
    "parts_and_materials": _("Parts and materials"),
    "cautions": _("Cautions"),
    "sign_technician": _("Technician, date"),
    "sign_final": _("Final check, date"),
    "please_deliver": _("Please deliver"),
    "your_reference": _("Your reference"),
    "item": _("Item"),
    "quantity": _("Quantity"),
    "needed_by": _("Needed by"),
    "each_net": _("Each, net"),
    "net": _("Net"),
    "deliveries": _(
        "Part deliveries are welcome. Please write the order number on the delivery note, "
        "and tell us at once if a line will be late."
    ),
    "for_whom": _("For"),
    "what_we_do": _("What we will do"),
    "parts": _("Parts"),
    "work": _("Work"),
    "together": _("Together"),
    "fit": _("Fit"),
    "before_you_decide": _("Before you decide"),
    "chosen": _("Chosen"),
    "every_check": _("Fit, every check"),
    "found": _("Found"),
    "verdict": _("Verdict"),
    "why": _("Why"),
    "your_notes": _("Your notes"),
    "local_codes": _("Local codes"),
    "page": _("Page"),
}


def labels() -> dict[str, object]:
    """Return every label under ``t``, and the language that the paper is set in under ``lang``."""
    language = (get_language() or "en").partition("-")[0]
    return {"lang": language, "t": {name: str(text) for name, text in LABELS.items()}}
