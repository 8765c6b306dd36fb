"""What rows of the catalogue files must agree on, beyond what one cell can tell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _
from stdnum import iban
from stdnum.exceptions import ValidationError

from . import literals
from .known import Blame, Known
from .models import STAGES
from .voc import over_voc_limit, voc_limit

COAT_ORDER = ("prime", "colour", "lacquer")


def workshop(row: Any, known: Known) -> Iterator[Blame]:
    """The IBAN's own check digits must hold (ISO 13616-1)."""
    try:
        iban.validate(row.iban, check_country=False)
    except ValidationError:
        yield "iban", _("The IBAN’s check digits or its length are wrong.")
    yield from tax_rate(row)


def tax_rate(row: Any) -> Iterator[Blame]:
    """A rate with a first day follows another, and the other way round."""
    if row.tax_rate_from and row.tax_rate_before_pct is None:
        yield "tax_rate_before_pct", _("Which rate holds until that day?")
    if row.tax_rate_before_pct is not None and not row.tax_rate_from:
        yield "tax_rate_from", _("From which day does the rate hold that follows it?")


def finish(row: Any, known: Known) -> Iterator[Blame]:
    """A heat-resistant finish must say which colour it matches; a body colour has a paint code."""
    other = known.get("finishes", row.same_colour_as)
    if row.role == "heat" and other is None:
        yield "same_colour_as", _("A heat-resistant finish must say which finish it has the colour of.")
    if row.role != "heat" and other is not None:
        yield "same_colour_as", _("Only a heat-resistant finish has the colour of another.")
    if other is not None and other.role == "heat":
        yield "same_colour_as", _("‘%(code)s’ is itself a heat-resistant finish.") % {"code": other.code}
    if row.role == "body" and not row.paint_code:
        yield "paint_code", _("A body colour needs the vehicle maker’s paint code.")


def layer(row: Any, known: Known) -> Iterator[Blame]:
    """A coat must stay within the VOC limit of what it is."""
    letter, product = row.voc_subcategory, row.voc_product
    limit = voc_limit(letter, product)
    if limit is None and product:
        yield (
            "voc_product",
            _("‘%(product)s’ is not in subcategory %(letter)s of Directive 2004/42/EC.")
            % {"product": product, "letter": letter},
        )
    elif limit is not None and over_voc_limit(letter, row.voc_g_per_l, product):
        what = f"{product} in subcategory {letter}" if product else f"subcategory {letter}"
        yield (
            "voc_g_per_l",
            _("More than the %(limit)s g/l of Directive 2004/42/EC for %(what)s.")
            % {"limit": f"{limit:g}", "what": what},
        )


def layers(known: Known) -> Iterator[tuple[str, str, str]]:
    """Coats of a system go prime, colour, lacquer; every system has coats."""
    stages: dict[str, list[tuple[int, str]]] = {}
    for row in known.all("paint_layers"):
        stages.setdefault(row.system, []).append((row.position, row.stage))
    for system, coats in stages.items():
        order = [COAT_ORDER.index(stage) for _, stage in sorted(coats)]
        if order != sorted(order):
            yield (
                f"{system}/{max(coats)[0]}",
                "stage",
                _("The coats of ‘%(system)s’ are not in painting order.") % {"system": system},
            )
    for system in known.all("paint_systems"):
        if system.code not in stages:
            yield "", "system", _("The paint system ‘%(code)s’ has no coats.") % {"code": system.code}


def generation(row: Any, known: Known) -> Iterator[Blame]:
    """Facts are options of that kind that the generation has; body colours are body colours."""
    if row.year_to is not None and row.year_to < row.year_from:
        yield "year_to", _("The last year lies before the first.")
    for code in row.facts:
        option = known.get("options", code)
        if option.kind != "fact":
            yield "facts", _("‘%(code)s’ is not a fact of a vehicle.") % {"code": code}
        elif option.generations and row.code not in option.generations:
            yield "facts", _("‘%(code)s’ is not for ‘%(code_2)s’.") % {"code": code, "code_2": row.code}
    for code in row.body_finishes:
        if known.get("finishes", code).role != "body":
            yield "body_finishes", _("‘%(code)s’ is not a body colour.") % {"code": code}


def axle(row: Any, known: Known) -> Iterator[Blame]:
    """The original tyre must be one that can be read."""
    wrong = literals.tyre_problem(row.original_tyre)
    if wrong:
        yield "original_tyre", wrong


def axles(known: Known) -> Iterator[tuple[str, str, str]]:
    """Every generation has a front and a rear axle."""
    codes = {row.code: None for row in known.some("generations")}
    codes |= dict.fromkeys(sorted(known.broken.get("generations", set()) - {""}))
    for code in codes:
        for position in ("front", "rear"):
            if known.find("axles", key := f"{code}/{position}") is None and not known.is_unsure("axles", key):
                message = _("‘%(code)s’ has no %(position)s axle.") % {"code": code, "position": position}
                yield "", "generation", message


def recipe(row: Any, known: Known) -> Iterator[Blame]:
    """Operations stand in the order of their stages."""
    latest = 0
    for number, step in enumerate(row.operation, 1):
        place = STAGES.index(step.stage)
        if place < latest:
            yield (
                f"operation.{number}.stage",
                _("‘%(stage)s’ comes before ‘%(latest)s’.") % {"stage": step.stage, "latest": STAGES[latest]},
            )
        latest = max(latest, place)
        if step.paints and step.stage not in COAT_ORDER:
            yield f"operation.{number}.paints", _("Coats belong to prime, colour or lacquer.")


def family(row: Any, known: Known) -> Iterator[Blame]:
    """Only an at-most family has a limit, and it needs one."""
    if (row.kind == "at_most") != (row.limit is not None):
        yield "limit", _("A limit belongs to an at-most family, and only to that.")


def option(row: Any, known: Known) -> Iterator[Blame]:
    """An option must be doable: recipe, paint system, area and length agree with each other."""
    if not literals.is_picture_part(row.picture_part):
        yield (
            "picture_part",
            _("The pictures know no part ‘%(picture_part)s’.") % {"picture_part": row.picture_part},
        )
    if row.kind == "fact":
        if row.item or row.recipe or row.finish_choices:
            yield "kind", _("A fact of the vehicle has no item, recipe or finish.")
        return
    made = known.get("recipes", row.recipe)
    if made is None:
        yield "recipe", _("Every option but a fact needs a recipe.")
        return
    if made.covers != "option":
        yield "recipe", _("The recipe ‘%(recipe)s’ is not one for options.") % {"recipe": row.recipe}
    bases = {line.basis for line in made.material}
    if "length" in bases and not row.bond_length_m:
        yield (
            "bond_length_m",
            _("The recipe ‘%(recipe)s’ counts by metre, but there is no length.") % {"recipe": row.recipe},
        )
    if "area" in bases and not row.paint_area_m2:
        yield (
            "paint_area_m2",
            _("The recipe ‘%(recipe)s’ counts by area, but there is no area.") % {"recipe": row.recipe},
        )
    yield from _painting(row, made, known)


def _painting(row: Any, made: Any, known: Known) -> Iterator[Blame]:
    """An option that is painted needs system, area, a painting step and finishes that exist."""
    paints = any(step.paints for step in made.operation)
    if bool(row.finish_choices) != paints:
        yield "finish_choices", _("Finishes to choose and a painting step in the recipe belong together.")
    if paints and not row.paint_system:
        yield "paint_system", _("What is painted needs a paint system.")
    if paints and not row.paint_area_m2:
        yield "paint_area_m2", _("What is painted needs its area.")
    system = known.get("paint_systems", row.paint_system)
    heat = known.once("heat", _colours_with_heat_version)
    for code in row.finish_choices:
        if code in ("body", "accent"):
            continue
        finish = known.get("finishes", code)
        if finish is None:
            yield "finish_choices", _("‘%(code)s’ is neither body, accent nor a finish.") % {"code": code}
        elif getattr(finish, "retired", False) and not row.retired:
            yield "finish_choices", _("‘%(code)s’ is retired.") % {"code": code}
        elif system is not None and system.max_temperature_c and code not in heat:
            yield (
                "finish_choices",
                _("‘%(code)s’ has no heat-resistant version, which this part needs.") % {"code": code},
            )


def _colours_with_heat_version(known: Known) -> set[str]:
    """Return the finishes that a heat-resistant one matches."""
    return {row.same_colour_as for row in known.all("finishes") if row.same_colour_as}


def accents(known: Known) -> Iterator[tuple[str, str, str]]:
    """Every accent colour has its heat-resistant version, since calipers carry it too."""
    heat = known.once("heat", _colours_with_heat_version)
    for row in known.all("finishes"):
        if row.role == "accent" and row.code not in heat:
            yield (
                row.code,
                "code",
                _("The accent colour ‘%(code)s’ has no heat-resistant version.") % {"code": row.code},
            )


def rule(row: Any, known: Known) -> Iterator[Blame]:
    """A rule names what exists and has the members that its kind needs."""
    yield from literals.shape(row.kind, row.if_all, row.then_any, bool(row.brings))
    codes, tags = known.once("vocabulary", literals.vocabulary)
    unsure = set().union(*(known.broken.get(one, set()) for one in literals.NAMED))
    for name in ("if_all", "then_any"):
        for literal in getattr(row, name):
            # What is broken elsewhere may have just this tag, or be just this part.
            bare = literal.removeprefix("!")
            doubtful = unsure and (
                bare.startswith("tag:") or bare.partition(":")[2] in unsure or bare in unsure
            )
            wrong = "" if doubtful else literals.problem(literal, codes, tags)
            if wrong:
                yield name, wrong
