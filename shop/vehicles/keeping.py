"""A vehicle entered or changed: its maker, its generation and both axles, put live as one version."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any

from django.contrib.auth.models import User

from configurator.catalogue import amending, drafts
from configurator.catalogue.models import Axle, Generation, Maker
from configurator.catalogue.models_changes import Release
from configurator.catalogue.plain import Plain

OF_GENERATION = (
    "name", "body_style", "rear_doors", "year_from", "year_to", "max_speed_kmh", "takes_spacers", "drive",
    "category", "facts", "body_finishes",
    "speedometer_reads_high_pct", "axle_ratio_limit_pct",
)  # fmt: skip
OF_AXLE = (
    "wheels", "mounting", "fastener", "original_wheel_width_in", "original_wheel_diameter_in",
    "original_wheel_offset_mm", "original_tyre", "axle_load_kg", "torque_nm", "property_class",
)  # fmt: skip
POSITIONS = ("front", "rear")
_PLAIN_LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "ø": "oe", "æ": "ae"})


def code_of(text: str) -> str:
    """Return a code made of a name: lower-case letters and digits, parted by dashes."""
    plain = unicodedata.normalize("NFKD", text.lower().translate(_PLAIN_LETTERS))
    return re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode()).strip("-")[:50] or "x"


def free_code(text: str) -> str:
    """Return a code for a new generation that none has yet."""
    base = code_of(text)
    taken = set(Generation.objects.filter(code__startswith=base).values_list("code", flat=True))
    return next(code for code in (base, *(f"{base}-{n}" for n in range(2, 1000))) if code not in taken)


def save(*, code: str, maker: str, values: Mapping[str, Any], by: User) -> Release | None:
    """Put a vehicle live as entered; ``values`` are the generation's, and the axles' under their prefix.

    Raises `going_live.NotLiveError` naming kinds and fields; then nothing is changed.
    """
    rows: list[amending.Amended] = []
    known = Maker.objects.filter(name__iexact=maker).first()
    maker_code = known.code if known else code_of(maker)
    if known is None:
        rows.append(("makers", maker_code, {"code": maker_code, "name": maker}))
    before: Plain = dict(drafts.live("generations", code) or _blank(Generation, ("code", "maker")))
    own = {name: values[name] for name in OF_GENERATION}
    own |= {"facts": sorted(own["facts"]), "body_finishes": sorted(own["body_finishes"])}
    rows.append(("generations", code, {**before, **own, "code": code, "maker": maker_code}))
    rows += _facts_for(code, own["facts"])
    for position in POSITIONS:
        key = f"{code}/{position}"
        axle: Plain = dict(drafts.live("axles", key) or _blank(Axle, ("generation", "position")))
        axle |= {name: values[f"{position}_{name}"] for name in OF_AXLE}
        rows.append(("axles", key, {**axle, "generation": code, "position": position}))
    return amending.amend(rows, by=by, title=f"{maker} {values['name']}")


def _facts_for(code: str, facts: list[str]) -> Iterator[amending.Amended]:
    """Yield the facts that so far belong to other vehicles alone, with this one added."""
    for fact in facts:
        option = drafts.live("options", fact)
        if option and option["generations"] and code not in option["generations"]:
            yield "options", fact, {**option, "generations": sorted([*option["generations"], code])}


def _blank(model: type[Generation] | type[Axle], left_out: tuple[str, ...]) -> Plain:
    """Return a new row's values as the table begins them."""
    kind = "generations" if model is Generation else "axles"
    schema = amending.schema_of(kind)
    made = model()
    found: Plain = {}
    for name in schema.model_fields:
        if name not in left_out and name not in schema.many:
            value = getattr(made, name)
            found[name] = list(value) if name in schema.lists else value
    return found | {name: [] for name in schema.many}
