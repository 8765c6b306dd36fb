"""What kinds of rows and the words that fields may hold are called, for people."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

PLURAL: dict[str, Any] = {
    "workshop": _("workshop"),
    "suppliers": _("suppliers"),
    "finishes": _("finishes"),
    "items": _("items"),
    "wheels": _("wheels"),
    "tyres": _("tyres"),
    "spacers": _("spacers"),
    "fasteners": _("fasteners"),
    "centring_rings": _("centring rings"),
    "paint_systems": _("paint systems"),
    "paint_layers": _("coats of paint"),
    "makers": _("vehicle makers"),
    "generations": _("vehicles"),
    "axles": _("axles"),
    "recipes": _("recipes"),
    "families": _("families of options"),
    "options": _("options"),
    "rules": _("rules"),
    "looks": _("ready-made looks"),
    "stock": _("stock"),
    "texts": _("translations"),
}
"""Kinds in the plural, as in "is not among the …"."""

HEADING: dict[str, Any] = {
    "workshop": _("The workshop"),
    "suppliers": _("Suppliers"),
    "finishes": _("Finishes"),
    "items": _("Other goods"),
    "wheels": _("Wheels"),
    "tyres": _("Tyres"),
    "spacers": _("Spacers"),
    "fasteners": _("Bolts and nuts"),
    "centring_rings": _("Centring rings"),
    "paint_systems": _("Paint systems"),
    "paint_layers": _("Coats of paint"),
    "makers": _("Vehicle makers"),
    "generations": _("Vehicles"),
    "axles": _("Axles"),
    "recipes": _("Recipes"),
    "families": _("Families of options"),
    "options": _("Options"),
    "rules": _("Rules"),
    "looks": _("Ready-made looks"),
    "stock": _("Stock"),
    "texts": _("Translations"),
    "bodies": _("Drawings"),
}
"""Kinds as headings of pages and lists."""


STAGES: dict[str, Any] = {
    "book-in": _("book-in"),
    "test fit": _("test fit"),
    "wheels off": _("wheels off"),
    "strip": _("strip"),
    "prep": _("prep"),
    "prime": _("prime"),
    "colour": _("colour"),
    "lacquer": _("lacquer"),
    "cure": _("cure"),
    "refit": _("refit"),
    "bond": _("bond"),
    "wheels on": _("wheels on"),
    "torque": _("torque"),
    "polish": _("polish"),
    "wash": _("wash"),
    "final check": _("final check"),
}
"""Stages of the work, in their order."""

PLACES: dict[str, Any] = {
    "bay": _("bay"),
    "lift": _("lift"),
    "booth": _("booth"),
    "bench": _("bench"),
}
"""Places where work is done."""

CHOICES: dict[str, Any] = {
    **STAGES,
    **PLACES,
    "each": _("each"),
    "m": _("metre"),
    "l": _("litre"),
    "g": _("gram"),
    "car": _("car, van or pickup"),
    "motorcycle": _("motorcycle"),
    "van": _("van"),
    "pickup": _("pickup"),
    "slip_on": _("slip-on"),
    "bolt_on": _("bolt-on"),
    "aluminium": _("aluminium"),
    "steel": _("steel"),
    "bolt": _("bolt"),
    "nut": _("nut"),
    "gloss": _("gloss"),
    "satin": _("satin"),
    "matt": _("matt"),
    "standard": _("standard finish"),
    "accent": _("accent colour"),
    "heat": _("heat-resistant"),
    "body": _("body colour"),
    "twin": _("twin doors"),
    "tailgate": _("tailgate"),
    "drop gate": _("drop gate"),
    "front": _("front"),
    "rear": _("rear"),
    "four": _("all four"),
    "bolted": _("bolted to the hub"),
    "centre_axle": _("on a centre axle"),
    "one": _("exactly one"),
    "any": _("any of them"),
    "at_most": _("at most so many"),
    "vehicle": _("vehicle"),
    "panels": _("panels"),
    "removals": _("removals"),
    "care": _("care"),
    "fact": _("fact of the vehicle"),
    "panel": _("add-on panel"),
    "removal": _("removal"),
    "other": _("other work"),
    "needs": _("needs"),
    "excludes": _("excludes"),
    "brings": _("brings"),
    "customer": _("the customer’s"),
    "workshop": _("the workshop’s"),
    "job": _("once a job"),
    "choice": _("once a choice"),
    "length": _("by metre of bonded length"),
    "area": _("by square metre of painted area"),
    "wheel": _("for each wheel"),
    "option": _("options that name it"),
    "wheels": _("new wheels"),
    "tyres": _("new tyres"),
    "spacers": _("spacers"),
    "rings": _("centring rings"),
    "mixed": _("a colour mixed to a wish"),
    "matched": _("a body colour matched by its code"),
    "preparatory": _("preparatory product"),
    "pre-cleaner": _("pre-cleaner"),
    "wash-primer": _("wash primer"),
    "en-gb": _("English"),
    "de": _("German"),
}
"""Words that a field may hold, as people say them."""


def choice(value: str) -> str:
    """Return what people say for one of a field's words."""
    return str(CHOICES.get(value, value))


def yes_no(value: bool) -> str:
    """Return yes or no."""
    return str(_("yes") if value else _("no"))
