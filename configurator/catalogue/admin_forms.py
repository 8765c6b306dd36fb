"""Forms for staff: the same checks as for the files, each message beside its field.

The admin gives each form its model, so none names one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from types import SimpleNamespace
from typing import Any

from django import forms
from pydantic import TypeAdapter, ValidationError

from . import checks, lint, literals, messages, rows, snapshot
from . import models as m
from .known import Blame, Known

Check = Callable[[Any, Known], Iterable[Blame]]
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
    """Judges what was typed as the files are judged, each finding beside its field.

    ``schema`` is the row of the file that holds the same kind; ``check`` what rows must agree on.
    """

    schema: type[rows.Row] = rows.Row
    check: Check | None = None

    def findings(self, row: Any) -> Iterable[Blame]:
        """Yield a field and a message for whatever one field alone cannot tell."""
        return self.check(row, Known()) if self.check else ()

    def clean(self) -> dict[str, Any]:
        """Judge each field by the schema, then the row as a whole once every field is right."""
        data = super().clean() or self.cleaned_data
        for name, message in _by_schema(self.schema, data):
            self.add_error(name, message)
        if not self.errors:
            for name, message in self.findings(SimpleNamespace(**data)):
                self.add_error(name if name in self.fields else None, message)
        return data


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


def checked(schema: type[rows.Row], check: Check | None = None) -> type[CheckedForm]:
    """Return a form that judges like the rows of a file."""
    named = {"schema": schema, "check": staticmethod(check) if check else None, "__module__": __name__}
    return type(schema.__name__.replace("Row", "Form"), (CheckedForm,), named)


WorkshopForm = checked(rows.WorkshopRow, checks.workshop)
SupplierForm = checked(rows.SupplierRow)
ItemForm = checked(rows.ItemRow)
WheelForm = checked(rows.WheelRow, checks.wheel)
TyreForm = checked(rows.TyreRow, checks.tyre)
SpacerForm = checked(rows.SpacerRow, checks.spacer)
FastenerForm = checked(rows.FastenerRow, checks.fastener)
CentringRingForm = checked(rows.CentringRingRow, checks.ring)
FinishForm = checked(rows.FinishRow)
PaintSystemForm = checked(rows.PaintSystemRow)
PaintLayerForm = checked(rows.PaintLayerRow, checks.layer)
AxleForm = checked(rows.AxleRow, checks.axle)
OperationForm = checked(rows.OperationRow)
MaterialForm = checked(rows.MaterialRow)
FamilyForm = checked(rows.FamilyRow, checks.family)


class GenerationForm(CheckedForm):
    """A generation: its facts must be facts."""

    schema = rows.GenerationRow

    facts = WordsField(help_text="codes of facts, one a line")

    def findings(self, row: Any) -> Iterable[Blame]:
        """Check years and facts."""
        if row.year_to is not None and row.year_to < row.year_from:
            yield "year_to", "The last year lies before the first."
        facts = set(m.Option.objects.filter(kind=m.Option.Kind.FACT).values_list("code", flat=True))
        for code in row.facts:
            if code not in facts:
                yield "facts", f"‘{code}’ is not a fact of a vehicle."


class OptionForm(CheckedForm):
    """An option: finishes, tags and the drawn part must be known."""

    schema = rows.OptionRow

    finish_choices = WordsField(help_text="body, accent or codes of finishes; the first is the default")
    tags = WordsField(help_text="words by which rules name several options")

    def findings(self, row: Any) -> Iterable[Blame]:
        """Check finishes, recipe, painting and the drawn part."""
        known = {"body", "accent", *m.Finish.objects.values_list("code", flat=True)}
        for code in row.finish_choices:
            if code not in known:
                yield "finish_choices", f"‘{code}’ is neither body, accent nor a finish."
        if row.finish_choices and not row.paint_system:
            yield "paint_system", "What is painted needs a paint system."
        if row.finish_choices and not row.paint_area_m2:
            yield "paint_area_m2", "What is painted needs its area."
        if row.kind != m.Option.Kind.FACT and row.recipe is None:
            yield "recipe", "Every option but a fact needs a recipe."
        if not literals.is_picture_part(row.picture_part):
            yield "picture_part", f"The pictures know no part ‘{row.picture_part}’."


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
        known = set(
            m.Item.objects.filter(code__in=[line.item for line in lines]).values_list("code", flat=True)
        )
        for line in lines:
            if line.item not in known:
                raise forms.ValidationError(f"There is no item ‘{line.item}’.")
        return [line.model_dump(mode="json") for line in lines]

    def findings(self, row: Any) -> Iterable[Blame]:
        """Check every literal, then the rule's shape."""
        codes, tags = literals.vocabulary(lint.stored(snapshot.current()))
        yield from literals.rule_findings(row, codes, tags)
