"""Forms for staff: the same checks as for the files, each message beside its field.

The admin gives each form its model, so none names one.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from pydantic import TypeAdapter, ValidationError

from . import messages, rows, stored
from .known import Blame

_BRINGS = TypeAdapter(list[rows.BringRow])


class WordsField(forms.CharField):
    """A list of words as staff write it: parted by spaces, commas or lines; stored as a JSON list."""

    widget = forms.Textarea

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("widget", forms.Textarea(attrs={"rows": 3, "cols": 60}))
        super().__init__(**kwargs)

    def prepare_value(self, value: Any) -> Any:
        """Show one word a line."""
        return "\n".join(map(str, value)) if isinstance(value, list) else value

    def to_python(self, value: Any) -> Any:
        """Return the words."""
        return str(value or "").replace(",", " ").split()

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare word by word."""
        return list(initial or []) != self.to_python(data)


class CheckedForm(forms.ModelForm):
    """Judges what was typed as the files are judged, by the same code, each finding beside its field.

    ``schema`` is the row of the file that holds the same kind; its bounds and checks are the file's.
    """

    schema: type[rows.Row] = rows.Row

    def clean(self) -> dict[str, Any]:
        """Judge each field by the schema, then the row as a whole once every field is right."""
        data = super().clean() or self.cleaned_data
        for name, message in _by_schema(self.schema, data):
            self.add_error(name, message)
        if not self.errors:
            row = stored.as_row(self.schema, {**data, "code": self._code(data)})
            for name, message in stored.problems(self.schema, row):
                field = name.partition(".")[0]
                self.add_error(field if field in self.fields else None, message)
        return data

    def _code(self, data: dict[str, Any]) -> str:
        """Return the code of what is edited: its own, or its item's."""
        return str(data.get("code") or getattr(data.get("item"), "code", "") or "")


def _by_schema(schema: type[rows.Row], data: dict[str, Any]) -> Iterable[Blame]:
    """Judge the plain fields, one by one, as a file's cells would be; empty ones may have a default."""
    elsewhere = {*schema.refs, *schema.many, *schema.lists, *schema.nested}
    for name in schema.model_fields.keys() & data.keys() - elsewhere:
        value = data[name]
        if value in (None, "") and not schema.model_fields[name].is_required():
            continue
        try:
            schema.__pydantic_validator__.validate_assignment(schema.model_construct(), name, value)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            yield name, messages.plain(first["type"], first, name)


def checked(schema: type[rows.Row]) -> type[CheckedForm]:
    """Return a form that judges like the rows of a file."""
    named = {"schema": schema, "__module__": __name__}
    return type(schema.__name__.replace("Row", "Form"), (CheckedForm,), named)


WorkshopForm = checked(rows.WorkshopRow)
SupplierForm = checked(rows.SupplierRow)
ItemForm = checked(rows.ItemRow)
WheelForm = checked(rows.WheelRow)
TyreForm = checked(rows.TyreRow)
SpacerForm = checked(rows.SpacerRow)
FastenerForm = checked(rows.FastenerRow)
CentringRingForm = checked(rows.CentringRingRow)
FinishForm = checked(rows.FinishRow)
PaintSystemForm = checked(rows.PaintSystemRow)
PaintLayerForm = checked(rows.PaintLayerRow)
AxleForm = checked(rows.AxleRow)
OperationForm = checked(rows.OperationRow)
MaterialForm = checked(rows.MaterialRow)
FamilyForm = checked(rows.FamilyRow)
MakerForm = checked(rows.MakerRow)
RecipeForm = checked(rows.RecipeRow)


class GenerationForm(CheckedForm):
    """A generation: its facts must be facts."""

    schema = rows.GenerationRow

    facts = WordsField(help_text="codes of facts, one a line")


class OptionForm(CheckedForm):
    """An option: finishes, tags and the drawn part must be known."""

    schema = rows.OptionRow

    finish_choices = WordsField(help_text="body, accent or codes of finishes; the first is the default")
    tags = WordsField(help_text="words by which rules name several options")


class RuleForm(CheckedForm):
    """A rule: every word in it must be known, and it must have what its kind needs."""

    schema = rows.RuleRow

    if_all = WordsField(
        required=True, help_text="all of these; option codes, tag:word, !code, front-wheel:code"
    )
    then_any = WordsField(help_text="then one of these (only for ‘needs’)")

    def clean_brings(self) -> Any:
        """Check the items that the rule brings."""
        value = self.cleaned_data["brings"] or []
        try:
            lines = _BRINGS.validate_python(value)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            place = ".".join(str(part + 1 if isinstance(part, int) else part) for part in first["loc"])
            raise forms.ValidationError(f"{place}: {messages.plain(first['type'], first, place)}") from None
        return [line.model_dump(mode="json") for line in lines]
