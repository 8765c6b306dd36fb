"""What the build page shows of an evaluation, for the whole page and for an update in place."""

from __future__ import annotations

import zlib
from typing import Any

from configurator.builds import offers, suggest
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import Spec
from configurator.builds.vin import check_vin
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.workshop import currency_of

from . import drawing
from .forms import BuildForm
from .told import check_word

LIVE = (
    "accent",
    "agreement",
    "brought",
    "materials",
    "steps",
    "cautions",
    "conflicts",
    "notes",
    "price",
    "strip",
    "time",
    "vin",
    "picture",
    "ends",
)
PIECES, MATERIALS = {"fastener", "ring", "extra"}, {"material", "paint"}
PREFIXES = {"front": "", "rear": "rear_"}


def live_context(
    spec: Spec, evaluation: Evaluation, catalogue: Catalogue, form: BuildForm, notes: list[str] | None = None
) -> dict[str, Any]:
    """Return everything that changes with a choice."""
    price = evaluation.price
    fill_tyres(form, evaluation, catalogue)
    vin = (spec.contact or {}).get("vin", "")
    return {
        "spec": spec,
        "form": form,
        "generation": form.generation,
        "evaluation": evaluation,
        "catalogue_version": catalogue.version,
        "currency": currency_of(catalogue.workshop),
        "price_lines": {line.choice: line for line in price.lines} if price else {},
        "brought": [line for line in evaluation.parts if line.kind in PIECES],
        "materials": [line for line in evaluation.parts if line.kind in MATERIALS],
        "has_conflicts": bool(evaluation.conflicts or evaluation.problems),
        "loose_problems": [p for p in evaluation.problems if form.field_for(p.field) is None],
        "notes": notes or [],
        "vin_warning": check_vin(vin).warning if vin else "",
        "fits": [(position, evaluation.fits.get(position)) for position in ("front", "rear")],
        "live": LIVE,
        "section_key": section_key(evaluation),
        "wheel_states": wheel_states(form, evaluation, catalogue),
        "option_tokens": form.option_tokens,
        "tyre_fields": [form[f"{prefix}tyre"] for prefix in PREFIXES.values()],
        **drawing.pictures(evaluation.selection, catalogue),
    }


def section_key(evaluation: Evaluation) -> str:
    """Return what makes a browser fetch the cross-sections anew when wheels, tyres or spacers change."""
    axles = evaluation.selection.front.model_dump_json() + evaluation.selection.rear.model_dump_json()
    return f"{zlib.crc32(axles.encode()):x}-{evaluation.catalogue_version}"


def wheel_states(
    form: BuildForm, evaluation: Evaluation, catalogue: Catalogue
) -> dict[tuple[str, str], dict[str, Any]]:
    """Return by (form field, wheel) how it would fit with the spacer chosen, and what the rules say."""
    found = {}
    for position, prefix in PREFIXES.items():
        axle = catalogue.axles.get((evaluation.selection.generation, position))
        if axle is None:
            continue
        spacer = evaluation.selection.axle(position).spacer
        judged = offers.wheel_offers(axle, spacer, catalogue)
        for code in form.codes(f"{prefix}wheel"):
            offer = judged.get(code)
            if offer is None:
                continue
            found[f"{prefix}wheel", code] = {
                "verdict": offer.verdict,
                "reason": check_word(offer.check, offer.verdict),
                "state": evaluation.options.get(f"{position}-wheel:{code}"),
            }
    return found


def fill_tyres(form: BuildForm, evaluation: Evaluation, catalogue: Catalogue) -> None:
    """List in each tyre field the tyres that go on the wheel chosen there."""
    for position, prefix in PREFIXES.items():
        axle = catalogue.axles.get((form.generation.code, position))
        if axle is None:
            continue
        chosen = evaluation.selection.axle(position).wheel
        wheel = catalogue.wheels.get(chosen) if chosen else None
        form.list_tyres(
            f"{prefix}tyre",
            suggest.tyres_for(axle, wheel, catalogue),
            keeps=axle.original_tyre if suggest.keeps_tyre(axle, wheel) else "",
        )
