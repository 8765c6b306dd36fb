"""Forms for staff: the same checks as for the files, each message beside its field.

The admin gives each form its model, so none names one.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from django import forms
from pydantic import TypeAdapter, ValidationError

from . import checks, lint, literals, messages, rows, snapshot
from . import models as m
from .loader import Known

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
    """Runs a file check on the cleaned data and puts each finding beside its field."""

    def findings(self, row: Any) -> Any:
        """Return the check's findings for a row with the cleaned values."""
        return ()

    def clean(self) -> dict[str, Any]:
        """Add the check's findings once every field is right by itself."""
        data = super().clean() or self.cleaned_data
        if not self.errors:
            for name, message in self.findings(SimpleNamespace(**data)):
                self.add_error(name if name in self.fields else None, message)
        return data


class WheelForm(CheckedForm):
    """A wheel: its design must be drawn."""

    def findings(self, row: Any) -> Any:
        """Check like a row of ``wheels.csv``."""
        return checks.wheel(row, Known())


class TyreForm(CheckedForm):
    """A tyre: its designation must be readable."""

    def findings(self, row: Any) -> Any:
        """Check like a row of ``tyres.csv``."""
        return checks.tyre(row, Known())


class FamilyForm(CheckedForm):
    """A family: a limit only where it belongs."""

    def findings(self, row: Any) -> Any:
        """Check like a row of ``families.csv``."""
        return checks.family(row, Known())


class GenerationForm(CheckedForm):
    """A generation: its facts must be facts."""

    facts = WordsField(help_text="codes of facts, one a line")

    def findings(self, row: Any) -> Any:
        """Check years and facts."""
        if row.year_to is not None and row.year_to < row.year_from:
            yield "year_to", "The last year lies before the first."
        facts = set(m.Option.objects.filter(kind=m.Option.Kind.FACT).values_list("code", flat=True))
        for code in row.facts:
            if code not in facts:
                yield "facts", f"‘{code}’ is not a fact of a vehicle."


class OptionForm(CheckedForm):
    """An option: finishes, tags and the drawn part must be known."""

    finish_choices = WordsField(help_text="body, accent or codes of finishes; the first is the default")
    tags = WordsField(help_text="words by which rules name several options")

    def findings(self, row: Any) -> Any:
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

    def findings(self, row: Any) -> Any:
        """Check every literal, then the rule's shape."""
        codes, tags = literals.vocabulary(lint.stored(snapshot.current()))
        for name in ("if_all", "then_any"):
            for literal in getattr(row, name):
                wrong = literals.problem(literal, codes, tags)
                if wrong:
                    yield name, wrong
        yield from literals.shape(row.kind, row.if_all, row.then_any, bool(row.brings))
