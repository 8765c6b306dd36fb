"""What the build page shows of an evaluation, for the whole page and for an update in place."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from typing import Any

from configurator.builds.evaluation import Evaluation
from configurator.builds.models import Spec
from configurator.builds.vin import check_vin
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.workshop import currency_of

from . import drawing, lists
from .forms import BuildForm

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


def live_context(
    spec: Spec,
    evaluation: Evaluation,
    catalogue: Catalogue,
    form: BuildForm,
    asked: Mapping[str, Any],
    notes: list[str] | None = None,
) -> dict[str, Any]:
    """Return everything that changes with a choice; ``asked`` holds what is asked of the lists of parts."""
    price = evaluation.price
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
        "option_tokens": form.option_tokens,
        "part_lists": lists.part_lists(form, evaluation, catalogue, asked),
        **drawing.pictures(evaluation.selection, catalogue),
    }


def section_key(evaluation: Evaluation) -> str:
    """Return what makes a browser fetch the cross-sections anew when wheels, tyres or spacers change."""
    axles = evaluation.selection.front.model_dump_json() + evaluation.selection.rear.model_dump_json()
    return f"{zlib.crc32(axles.encode()):x}-{evaluation.catalogue_version}"
