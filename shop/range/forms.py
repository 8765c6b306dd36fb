"""The form of one catalogue row, made from what the files may hold and judged by the files' own checks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from configurator.catalogue import field_words
from configurator.catalogue.describing import Column, columns
from configurator.catalogue.kinds import Kind
from configurator.catalogue.known import Known
from configurator.catalogue.overlay import judge_row
from configurator.catalogue.plain import Plain, plain

from . import cells
from .choosing import options_of
from .forms_fields import make_field, typed_value
from .texts_form import TextFields


class Judged(forms.Form):
    """A form whose fields the files' checks judge alone, and that says all the same which must be filled."""

    needed: frozenset[str] = frozenset()

    def full_clean(self) -> None:
        """Have Django ask for nothing, so that every message is the checks' own."""
        for one in self.fields.values():
            one.required = False
        super().full_clean()
        self.mark_needed()

    def mark_needed(self) -> None:
        """Mark the fields that must be filled, for whoever reads the form."""
        for name in self.needed & self.fields.keys():
            self.fields[name].required = True


class InnerForm(Judged):
    """One row within a row: a step of a recipe, what it uses up, what a rule brings."""

    def __init__(
        self, *args: Any, kind: Kind, column: Column, choices: dict[str, Any], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.column = column
        for inner in column.inner:
            self.fields[inner.name] = make_field(kind, inner, choices.get(inner.name))
        self.fields["gone"] = forms.BooleanField(required=False, label=_("Take out"))
        self.needed = frozenset(inner.name for inner in column.inner if inner.required)
        self.mark_needed()


@dataclass
class Inner:
    """All rows of one inner column, as their forms; ``kept`` are those that were filled in."""

    column: Column
    label: str
    rows: list[InnerForm] = field(default_factory=list)
    kept: list[InnerForm] = field(default_factory=list)


class RowForm(Judged):
    """One row of any kind. ``row`` is what was judged right, as plain values, once the form is valid.

    ``may`` are the fields that this person may change; the others show what stands and keep it.
    """

    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Any = None,
        *,
        kind: Kind,
        now: Plain | None,
        known: Known,
        may: Iterable[str],
        mark: str = "",
        unjudged: Any = None,
        texts: TextFields | None = None,
    ) -> None:
        self.kind, self.now, self.known, self.may, self.texts = kind, now, known, frozenset(may), texts
        self.row: Plain | None = None
        self.columns = columns(kind.schema)
        typed = data if data is not None else unjudged
        initial = _initial(self.columns, now, unjudged)
        super().__init__(data, initial={"seen": mark, **initial})
        for column in self.columns:
            if not column.inner:
                self.fields[column.name] = make_field(kind, column, options_of(kind.name, column))
                self.fields[column.name].disabled = column.name not in self.may
        if now is not None and "code" in self.fields:
            self.fields["code"].disabled = True
        self.inner = [self._inner(column, typed) for column in self.columns if column.inner]
        if texts is not None:
            texts.add_to(self, unjudged)
        self.needed = frozenset(column.name for column in self.columns if column.required)
        self.mark_needed()

    def _inner(self, column: Column, typed: Any) -> Inner:
        choices = {inner.name: options_of(self.kind.name, inner) for inner in column.inner}
        found = Inner(column, field_words.name_of(column.name))
        rows = list((self.now or {}).get(column.name) or ())
        number = cells.count(typed, column.name) if typed is not None else len(rows)
        extra = 0 if self.is_bound else cells.EXTRA_ROWS
        for n in range(number + extra):
            row = rows[n] if n < len(rows) else {}
            initial = {inner.name: cells.shown(inner, row.get(inner.name)) for inner in column.inner}
            if typed is not None and not self.is_bound:
                initial = _typed_inner(column, typed, n)
            form = InnerForm(
                typed if self.is_bound else None,
                prefix=f"{column.name}-{n}",
                initial=initial,
                kind=self.kind,
                column=column,
                choices=choices,
            )
            if self.texts is not None:
                self.texts.add_to_inner(form, typed if not self.is_bound else None)
            for one in form.fields.values():
                one.disabled = column.name not in self.may
            found.rows.append(form)
        return found

    def clean(self) -> dict[str, Any]:
        """Judge the whole row as the loader would; every message lands beside its field."""
        given = {column.name: self._cell(column) for column in self.columns}
        for inner in self.inner:
            typed = [cells.inner_row(self.data, inner.column, n) for n in range(len(inner.rows))]
            inner.kept = [form for form, row in zip(inner.rows, typed, strict=True) if row is not None]
        row, wrong = judge_row(self.kind, cells.given(given), self.known)
        for name, message in dict.fromkeys(wrong):
            self._blame(name, message)
        if row is not None and not wrong:
            self.row = plain(row)
        return self.cleaned_data

    def _cell(self, column: Column) -> Any:
        if column.name not in self.may or (column.name == "code" and self.now is not None):
            return (self.now or {}).get(column.name)
        if column.inner:
            return cells.inner_rows(self.data, column)
        return cells.typed(column, self.cleaned_data.get(column.name))

    def _blame(self, name: str, message: str) -> None:
        first, _dot, rest = name.partition(".")
        place, _dot, last = rest.partition(".")
        inner = next((one for one in self.inner if one.column.name == first), None)
        if inner is not None and place.isdigit() and int(place) <= len(inner.kept):
            form = inner.kept[int(place) - 1]
            form.is_valid()  # errors can be added only to what was looked at
            form.add_error(last if last in form.fields else None, message)
            self.add_error(None, f"{inner.label} {place}, {field_words.name_of(last)}: {message}")
        elif first in self.fields:
            self.add_error(first, message)
        else:
            self.add_error(None, f"{field_words.name_of(first)}: {message}" if first else message)


def _initial(found: Iterable[Column], now: Plain | None, typed: Any) -> dict[str, Any]:
    initial: dict[str, Any] = {}
    for column in found:
        if column.inner:
            continue
        if typed is not None:
            initial[column.name] = typed_value(column, typed)
        elif now is not None:
            initial[column.name] = cells.shown(column, now.get(column.name))
        elif not column.required:
            initial[column.name] = cells.shown(column, column.default)
    return initial


def _typed_inner(column: Column, typed: Any, number: int) -> dict[str, Any]:
    prefix = f"{column.name}-{number}-"
    return {
        inner.name: f"{prefix}{inner.name}" in typed
        if inner.base is bool
        else typed.get(f"{prefix}{inner.name}")
        for inner in column.inner
    }
