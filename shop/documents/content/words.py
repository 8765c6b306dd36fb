"""What several papers say alike: workshop, customer, money, days, quantities, vehicle, picture."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone, translation
from django.utils.formats import date_format

from configurator.builds.evaluation import Evaluation, FitRow
from configurator.builds.looks import look_of
from configurator.catalogue import snapshot
from configurator.catalogue import workshop as workshops
from configurator.models import SpecRevision
from configurator.pictures.scene import scene
from configurator.pictures.svg import to_svg
from shop.messages import words

LANGUAGE = "en-gb"
VERDICTS = {"fits": "fits", "measure": "measure", "no": "does not fit", "unknown": "unknown", "note": "note"}


def money(amount: Decimal, currency: str) -> str:
    """Return an amount as English papers write it: ``€1,190.00`` or ``CHF 1,190.00``."""
    with translation.override(LANGUAGE):
        return words.money(amount, currency)


def day(value: date | datetime | None) -> str:
    """Return a day such as ``31 March 2026``, in the workshop's time zone."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        value = timezone.localtime(value).date()
    with translation.override(LANGUAGE):
        return date_format(value, "j F Y")


def quantity(value: Decimal, unit: str) -> str:
    """Return a quantity such as ``16 ×`` or ``0.35 l``."""
    return f"{value.normalize():f} {'×' if unit == 'each' else unit}"


def hours(value: float) -> str:
    """Return hours such as ``1.5 h``, or nothing."""
    return f"{value:g} h" if value else ""


def paragraphs(text: str) -> list[str]:
    """Return a text's paragraphs, each in one line."""
    return [" ".join(part.split()) for part in text.replace("\r", "").split("\n\n") if part.strip()]


def workshop_words() -> dict[str, str]:
    """Return the workshop as the header and the foot of a paper show it."""
    workshop = workshops.current()
    if workshop is None:
        return {"name": "Workshop", "address": "", "contact": ""}
    place = f"{workshop.postcode} {workshop.town}".strip()
    contact = [workshop.phone, workshop.email, workshop.tax_number and f"Tax no. {workshop.tax_number}"]
    return {
        "name": workshop.name,
        "address": " · ".join(filter(None, (workshop.street, place, workshop.country))),
        "contact": " · ".join(filter(None, contact)),
    }


def customer_lines(revision: SpecRevision) -> list[str]:
    """Return name and contact of the customer."""
    return [line for line in (revision.name, revision.email, revision.phone) if line]


def vehicle_name(evaluation: Evaluation) -> str:
    """Return the vehicle's name as it was when the build was frozen."""
    code = evaluation.selection.generation
    known = snapshot.current().generations.get(code)
    return evaluation.names.get(code) or (str(known) if known else code)


def vehicle_facts(revision: SpecRevision, evaluation: Evaluation) -> list[list[str]]:
    """Return the boxes that name the vehicle."""
    rows = [["Vehicle", vehicle_name(evaluation)]]
    if revision.registration:
        rows.append(["Registration", revision.registration])
    if revision.vin:
        rows.append(["VIN", revision.vin])
    if evaluation.body:
        code = f" ({evaluation.body.paint_code})" if evaluation.body.paint_code else ""
        rows.append(["Body colour", f"{evaluation.body.name}{code}"])
    if evaluation.accent:
        rows.append(["Accent colour", evaluation.accent.name])
    return rows


def picture(evaluation: Evaluation) -> dict[str, str]:
    """Return the side view as SVG, where the vehicle has a drawing."""
    drawn = look_of(evaluation.selection, snapshot.current())
    if drawn is None:
        return {}
    alt = f"{vehicle_name(evaluation)} from the side"
    return {"picture": to_svg(scene(*drawn, "side"), alt, "; ".join(evaluation.summary)), "picture_alt": alt}


def figure(value: float | str | None, unit: str) -> str:
    """Return a check's figure such as ``5.4 mm``, as fine as a person can use."""
    if value is None or unit == "mismatch":
        return ""
    if isinstance(value, str):
        return value
    said = f"{value:.0f}" if abs(value) >= 1000 else f"{value:.2f}".rstrip("0").rstrip(".")
    return f"{said} {unit}".strip()


def fit_rows(evaluation: Evaluation, *, notes: bool = True) -> list[list[str]]:
    """Return every fitment check: axle, what, figure, limit, verdict, message."""
    return [
        [
            row.axle,
            row.id.replace("_", " "),
            figure(row.value, row.unit),
            figure(row.limit, row.unit),
            VERDICTS.get(row.verdict, row.verdict),
            row.message,
        ]
        for row in all_checks(evaluation)
        if notes or row.verdict != "note"
    ]


def all_checks(evaluation: Evaluation) -> list[FitRow]:
    """Return the checks of all axles in the order of the page."""
    return [row for fit in evaluation.fits.values() for row in fit.checks]


# What tells pieces of one name apart on paper, and how it is said.
TOLD = {
    "shank_mm": "shank {:g} mm",
    "property_class": "class {}",
    "finish": "{}",
    "system": "{}",
    "coat": "{} coat",
}


def identified(name: str, facts: dict[str, Any]) -> str:
    """Return a part's name with what identifies the piece, as far as the name does not say it."""
    said = []
    for key, form in TOLD.items():
        value = facts.get(key)
        plain = f"{value:g}" if isinstance(value, float) else str(value)
        if value not in (None, "") and plain.casefold() not in name.casefold():
            said.append(form.format(value))
    return f"{name} ({', '.join(said)})" if said else name


WHEEL_CAUTIONS = (
    "Tighten wheel bolts and nuts by hand first, then crosswise with a torque wrench to the vehicle "
    "maker’s figure.",
    "A thin film of copper-based anti-seize goes on hub and spacer faces only, never on threads or seats.",
    "Check the torque again after 50 to 100 km.",
    "Spacers, track and wheel cover may need an entry in the vehicle’s papers: local codes decide.",
)
ADVICE = "A fit verdict is advice to a competent fitter, never a certificate."


def has_wheel_work(evaluation: Evaluation) -> bool:
    """Whether wheels come off in this job."""
    return any(part.kind in ("wheel", "tyre", "spacer", "fastener") for part in evaluation.parts)


def cautions(evaluation: Evaluation) -> list[str]:
    """Return the build's cautions; a build that has none of its own gets those that go with wheels.

    What one step of work asks of the technician stands beside that step on the job sheet, not here.
    """
    of_steps = {step.caution for step in evaluation.work.steps} if evaluation.work else set()
    own = [text for text in evaluation.cautions if text not in of_steps]
    if not own and has_wheel_work(evaluation):
        own = list(WHEEL_CAUTIONS)
    if not any("certificate" in text for text in own):
        own.append(ADVICE)
    return list(dict.fromkeys(own))
