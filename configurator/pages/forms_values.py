"""A selection as the values of the build form's inputs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from configurator.builds.selection import Selection
from configurator.catalogue.models import Family

PARTS = ("wheel", "tyre", "spacer")
OWN = "own"


def initial(selection: Selection) -> dict[str, Any]:
    """Return a selection as the form's first values."""
    values: dict[str, Any] = {
        "body_finish": OWN if selection.body_hex else selection.body_finish or "",
        "body_code": selection.body_code,
        "body_tone": initial_tone(selection),
        "accent": OWN if selection.accent_wanted_hex else selection.accent or "",
        "accent_wanted": selection.accent_wanted_hex or "#2f6f8f",
        "accent_way": selection.accent_way,
        "rear_differs": selection.front != selection.rear,
    }
    for part in PARTS:
        values[part] = getattr(selection.front, part) or ""
        values[f"rear_{part}"] = getattr(selection.rear, part) or ""
    values.update({f"finish-{code}": finish for code, finish in selection.finishes.items()})
    values["options"] = selection.options
    return values


def initial_tone(selection: Selection | None) -> str:
    """Return about which tone the vehicle has, a grey until it is said."""
    return (selection.body_hex if selection else None) or "#8a8f94"


def values_of(form: forms.Form, families: Iterable[Family], selection: Selection) -> dict[str, Any]:
    """Return a selection as the values of the page's inputs, for a script to set after a button's change."""
    values = {name: value for name, value in initial(selection).items() if name in form.fields}
    for family in families:
        name = f"f-{family.code}"
        values[name] = form[name].value() or ""
    for name in form.fields:
        if name.startswith("finish-"):
            values.setdefault(name, form[name].value() or "")
    return values
