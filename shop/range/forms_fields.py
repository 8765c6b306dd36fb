"""The input of one column of the catalogue, and how what was typed into it is read back."""

from __future__ import annotations

from typing import Any

from django import forms

from configurator.catalogue import field_words
from configurator.catalogue.describing import Column
from configurator.catalogue.kinds import Kind

from . import cells
from .choosing import literal_groups
from .widgets import InOrder

LITERALS = ("if_all", "then_any")


IN_ORDER = ("finish_choices", *LITERALS)


def typed_value(column: Column, typed: Any) -> Any:
    """Return what a form sent for a column, to be shown again without judging it."""
    if column.is_profile:
        return cells.profile_points(typed, column.name)
    if column.base is bool and not column.is_list:
        return column.name in typed
    if column.name in IN_ORDER:
        return InOrder(negate=column.name in LITERALS).value_from_datadict(typed, None, column.name)
    return typed.getlist(column.name) if column.is_list else typed.get(column.name)


class PointsInput(forms.TextInput):
    """Points of a profile: drawn with numbers in pairs, read back as the file's cell."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> str:
        """Return the pairs as one cell."""
        return cells.profile_points(data, name)


def make_field(kind: Kind, column: Column, choices: Any) -> forms.Field:
    """Return the input of a column: what can be chosen is chosen, everything else is written."""
    shared: dict[str, Any] = {
        "required": False,
        "label": field_words.name_of(column.name),
        "help_text": field_words.help_text(column.name),
    }
    if column.is_profile:
        return forms.CharField(widget=PointsInput, **shared)
    if column.base is bool and not column.is_list:
        return forms.BooleanField(**shared)
    if column.name in IN_ORDER:
        is_rule = column.name in LITERALS
        widget = InOrder(negate=is_rule, choices=literal_groups() if is_rule else choices or [])
        return ListField(widget=widget, **shared)
    if column.is_list and choices is not None:
        return ListField(widget=forms.CheckboxSelectMultiple(choices=choices), **shared)
    if column.is_list:
        return WordsField(**shared)
    if choices is not None:
        spare = [] if column.choices and column.required else [("", "–")]
        return AnyChoiceField(choices=[*spare, *choices], **shared)
    unit = field_words.unit_of(column.name)
    if unit:
        shared["label"] = f"{shared['label']} ({unit})"
    area = forms.Textarea(attrs={"rows": 4}) if column.is_long else None
    text = forms.TextInput(attrs={"inputmode": "decimal"} if column.is_number else {})
    return forms.CharField(widget=area or text, **shared)


class AnyChoiceField(forms.ChoiceField):
    """A choice that the files' checks judge: what is not among them is shown all the same."""

    def valid_value(self, value: Any) -> bool:
        """Leave the judging to the checks, which say what is wrong with it."""
        return True


class ListField(forms.Field):
    """Several codes as a list."""

    def to_python(self, value: Any) -> list[str]:
        """Return the codes."""
        return [str(one) for one in value or ()]


class WordsField(forms.CharField):
    """Words parted by blanks or commas."""

    def prepare_value(self, value: Any) -> Any:
        """Show a list as words."""
        return " ".join(map(str, value)) if isinstance(value, list | tuple) else value

    def to_python(self, value: Any) -> Any:
        """Return the words."""
        return str(value or "").replace(",", " ").split()
