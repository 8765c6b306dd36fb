"""The measuring card of one axle: what to measure, where and how well, with room to write."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from configurator.catalogue import workshop as workshops
from configurator.catalogue.models import Axle, Generation
from shop.documents.render import pdf

from .card_drawing import drawing
from .measured import Kind, Measured, of_axle
from .models import AxleReading
from .reading import shown
from .service import latest
from .words import POSITIONS


def card(generation: Generation, position: str) -> bytes:
    """Return the card as PDF, in the reader's language."""
    return pdf("measuring_card", content(generation, position))


def content(generation: Generation, position: str) -> dict[str, Any]:
    """Return all that the card says, as plain data."""
    axle = Axle.objects.filter(generation=generation, position=position).first()
    fields = [one for one in of_axle(position) if axle is None or _belongs(one, axle)]
    known = latest(generation.code, position)
    workshop, today = workshops.current(), timezone.localdate()
    return {
        "lang": (get_language() or "en").split("-")[0],
        "dated": {"year": today.year, "month": today.month, "day": today.day},
        "title": _("Measuring card"),
        "number": f"{generation}, {POSITIONS[position]}",
        "workshop": {
            "name": workshop.name if workshop else "",
            "address": f"{workshop.street}, {workshop.postcode} {workshop.town}" if workshop else "",
            "contact": f"{workshop.phone}  {workshop.email}" if workshop else "",
        },
        "facts": [
            [_("Vehicle"), str(generation)],
            [_("Axle"), str(POSITIONS[position])],
            [_("Printed"), date_format(timezone.localdate(), "j. F Y" if _german() else "j F Y")],
            [_("Registration"), ""],
            [_("Measured by"), ""],
            [_("On"), ""],
        ],
        "drawing": drawing(fields),
        "drawing_alt": _("Where each letter is measured: axle in section, hub from the front, fastener"),
        "t": {
            "letter": "", "what": _("What"), "where": _("Where and how"), "well": _("How well"),
            "now": _("So far"), "read": _("Read"), "page": _("Page"), "of": _("of"),
            "cautions": _("Cautions"),
        },
        "rows": [_row(one, getattr(axle, one.field, None), known.get(one.field)) for one in fields],
        "cautions": [
            _("Secure the vehicle: level ground, wheels chocked, on stands at the maker’s jacking points."),
            _("Turn hub and steering by hand only, ignition off; let hot brakes cool down."),
            _("What hangs in the air is measured with the springs as on the ground, or marked as hanging."),
            _("Local codes and the vehicle maker’s figures rule; a measured card is no certificate."),
        ],
    }  # fmt: skip


def _german() -> bool:
    return (get_language() or "").startswith("de")


def _belongs(one: Measured, axle: Axle) -> bool:
    """Whether a hub of this kind has it: bolts or studs, or neither on a motorcycle's axle."""
    of_bolts = one.field in ("original_shank_mm", "hub_thread_mm", "free_depth_behind_hub_mm")
    if axle.mounting != "bolted":
        return one.letter not in "ABCD"
    return not (one.field == "stud_length_mm" and axle.fastener == "bolt") and not (
        of_bolts and axle.fastener == "nut"
    )


def _row(one: Measured, value: Any, known: AxleReading | None) -> list[str]:
    unit = "" if one.kind in (Kind.TEXT, Kind.COUNT) else " mm"
    well = f"± {one.tolerance_mm:g} mm" if one.tolerance_mm else ""
    doubt = _("in doubt: measure again") if known and known.disputed_at else ""
    so_far = shown(one, value)
    return [
        one.letter,
        str(one.name),
        str(one.where),
        "\n".join(filter(None, (well, str(AxleReading.How(one.how).label)))),
        "\n".join(filter(None, (so_far and so_far + unit, doubt))),
    ]
