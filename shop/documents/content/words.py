"""What several papers say alike: workshop, customer, money, days, quantities, vehicle, picture."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from configurator.builds import build
from configurator.builds.evaluation import Evaluation, FitRow
from configurator.builds.looks import look_of
from configurator.builds.records import PieceFacts
from configurator.builds.sentences import say
from configurator.catalogue import snapshot
from configurator.catalogue import workshop as workshops
from configurator.models import SpecRevision
from configurator.pages import told, told_codes
from configurator.pictures.scene import scene
from configurator.pictures.svg import to_svg
from configurator.words import Said


def money(amount: Decimal, currency: str) -> str:
    """Return an amount as the paper's language writes it: ``€1,190.00`` or ``1.190,00 €``."""
    return told.money(amount, currency)


def day(value: date | datetime | None) -> str:
    """Return a day such as ``31 March 2026``, in the workshop's time zone."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        value = timezone.localtime(value).date()
    return date_format(value, "j. F Y" if (get_language() or "").startswith("de") else "j F Y")


def quantity(value: Decimal, unit: str) -> str:
    """Return a quantity such as ``16 ×`` or ``0.35 l``."""
    return told.quantity(value, unit)


def hours(value: float) -> str:
    """Return hours such as ``1.5 h``, or nothing."""
    return f"{told.number(value)} h" if value else ""


def torque(value: float) -> str:
    """Return a torque such as ``120 N m``."""
    return f"{told.number(value)} N m"


def paragraphs(text: str) -> list[str]:
    """Return a text's paragraphs, each in one line."""
    return [" ".join(part.split()) for part in text.replace("\r", "").split("\n\n") if part.strip()]


def workshop_words() -> dict[str, str]:
    """Return the workshop as the header and the foot of a paper show it."""
    workshop = workshops.current()
    if workshop is None:
        return {"name": _("Workshop"), "address": "", "contact": ""}
    place = f"{workshop.postcode} {workshop.town}".strip()
    legal = workshop.legal_name if workshop.legal_name != workshop.name else ""
    contact = [
        workshop.phone,
        workshop.email,
        workshop.tax_number and _("Tax no. %(number)s") % {"number": workshop.tax_number},
    ]
    return {
        "name": workshop.name,
        "address": " · ".join(filter(None, (legal, workshop.street, place, workshop.country))),
        "contact": " · ".join(filter(None, contact)),
    }


def customer_lines(revision: SpecRevision) -> list[str]:
    """Return name and contact of the customer."""
    return [line for line in (revision.name, revision.email, revision.phone) if line]


def vehicle_name(evaluation: Evaluation) -> str:
    """Return the vehicle's name as it was when the build was frozen."""
    code = evaluation.selection.generation
    known = snapshot.current().generations.get(code)
    return told.told(evaluation.names.get(code) or (build.vehicle_name(known) if known else code))


def vehicle_facts(revision: SpecRevision, evaluation: Evaluation) -> list[list[str]]:
    """Return the boxes that name the vehicle."""
    rows = [[_("Vehicle"), vehicle_name(evaluation)]]
    if revision.registration:
        rows.append([_("Registration"), revision.registration])
    if revision.vin:
        rows.append([_("VIN"), revision.vin])
    if evaluation.body:
        code = f" ({evaluation.body.paint_code})" if evaluation.body.paint_code else ""
        rows.append([_("Body colour"), f"{told.told(evaluation.body.name)}{code}"])
    if evaluation.accent:
        rows.append([_("Accent colour"), told.told(evaluation.accent.name)])
    return rows


def picture(evaluation: Evaluation) -> dict[str, str]:
    """Return the side view as SVG, where the vehicle has a drawing."""
    drawn = look_of(evaluation.selection, snapshot.current())
    if drawn is None:
        return {}
    alt = _("%(vehicle)s from the side") % {"vehicle": vehicle_name(evaluation)}
    return {
        "picture": to_svg(scene(*drawn, "side"), alt, "; ".join(map(told.told, evaluation.summary))),
        "picture_alt": alt,
    }


def figure(value: float | str | None, unit: str) -> str:
    """Return a check's figure such as ``5.4 mm``; nothing where there is none."""
    shown = told.figure(value, unit)
    return "" if shown == "–" else shown


def fit_rows(evaluation: Evaluation, *, notes: bool = True) -> list[list[str]]:
    """Return the checks of this build: axle, what, figure, limit, verdict, message, tone."""
    return [
        [
            axle(row.axle),
            told_codes.name_of_check(row.id),
            figure(row.value, row.unit),
            figure(row.limit, row.unit),
            told.verdict_word(row.verdict),
            told.told(row.message),
            told_codes.tone(row.verdict),
        ]
        for row in told_codes.for_customers(all_checks(evaluation))
        if notes or row.verdict != "note"
    ]


def axle(position: str) -> str:
    """Return an axle as the first cell of a row names it."""
    return told.told(say(position)) if position in ("front", "rear", "vehicle") else position


def all_checks(evaluation: Evaluation) -> list[FitRow]:
    """Return the checks of all axles in the order of the page."""
    return [row for fit in evaluation.fits.values() for row in fit.checks]


def identified(evaluation: Evaluation, name: str, facts: PieceFacts) -> str:
    """Return a part's name with what identifies the piece, as far as the name does not say it."""
    said = [
        text
        for key in ("shank_mm", "property_class", "finish", "system", "coat")
        if (value := getattr(facts, key)) not in (None, "") and (text := _fact(evaluation, key, value, name))
    ]
    shown = told.told(evaluation.spoken(name))
    return f"{shown} ({', '.join(said)})" if said else shown


def ordered(item: str, name: str, facts: PieceFacts) -> str:
    """Return an ordered part in words, by what the catalogue calls it now if that is still its name."""
    catalogue = snapshot.current()
    known = catalogue.items.get(item)
    finishes = {finish.name: finish.name for finish in catalogue.finishes.values()}
    book = {text: text.kept() for text in (known.name if known else "", *finishes) if isinstance(text, Said)}
    nothing = Evaluation.model_construct(said=book)
    return identified(nothing, name, facts)


def _fact(evaluation: Evaluation, key: str, value: Any, name: str) -> str:
    """Return one fact in words, or nothing when the part's name holds it."""
    plain = f"{value:g}" if isinstance(value, float) else str(value)
    if plain.casefold() in name.casefold():
        return ""
    if key == "shank_mm":
        return _("shank %(length)s") % {"length": told.figure(value, "mm")}
    if key == "property_class":
        return _("class %(name)s") % {"name": plain}
    return told_codes.stage(plain) if key == "coat" else told.told(evaluation.spoken(plain))


def has_wheel_work(evaluation: Evaluation) -> bool:
    """Whether wheels come off in this job."""
    return any(part.kind in ("wheel", "tyre", "spacer", "fastener") for part in evaluation.parts)


def cautions(evaluation: Evaluation) -> list[str]:
    """Return what the owner should know; a build kept without such lines gets those that go with wheels."""
    of_steps = {step.caution for step in evaluation.work.steps} if evaluation.work else set()
    own = [told.told(text) for text in evaluation.cautions if text not in of_steps]
    if not own and has_wheel_work(evaluation):
        own.append(told.told(say("owner_wheels")))
        own.append(
            _("Spacers, track and wheel cover may need an entry in the vehicle’s papers: local codes decide.")
        )
    own.append(_("A fit verdict is advice to a competent fitter, never a certificate."))
    return list(dict.fromkeys(own))


def bench_cautions(evaluation: Evaluation) -> list[str]:
    """Return what the technician must heed: the bench's own lines, then what the owner is told."""
    own = [told.told(text) for text in evaluation.bench_cautions]
    return list(dict.fromkeys([*own, *cautions(evaluation)]))
