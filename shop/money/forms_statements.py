"""Forms of the statement pages: a file, its columns, and what a person says of a movement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.jobs.models import Job

from .forms import amount_field
from .models import CsvLayout
from .statements.entries import MAX_BYTES
from .statements.headings import FIELDS, MANY, is_enough, plain
from .statements.table import Table

SHARES = 4
"""How many jobs one transfer can be split over on a page."""


class StatementForm(forms.Form):
    """A statement to read."""

    file = forms.FileField(
        label=gettext_lazy("Statement"),
        help_text=gettext_lazy(
            "camt.053 (XML), MT940 or CSV, as your bank gives it. You look at it before anything is booked."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".xml,.csv,.txt,.sta,.mt940,.940"}),
    )

    def clean_file(self) -> Any:
        """Refuse what no statement is as large as."""
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise forms.ValidationError(
                _("The file is larger than %(size)s MB.") % {"size": MAX_BYTES // 1_000_000}
            )
        return file


class ColumnsForm(forms.Form):
    """Which column of a bank's CSV holds what; the answers are remembered under a name."""

    label = forms.CharField(
        label=gettext_lazy("Name of this kind of file"),
        max_length=30,
        help_text=gettext_lazy(
            "Such as your bank's name. The next file with these headings is read the same way."
        ),
    )
    day_order = forms.ChoiceField(label=gettext_lazy("Order of a day"), required=False)
    decimal_mark = forms.ChoiceField(label=gettext_lazy("Decimal mark"), required=False)

    def __init__(
        self, table: Table, columns: Mapping[str, Sequence[int]], layout: CsvLayout | None, data: Any = None
    ) -> None:
        self.table, self.layout = table, layout
        given: dict[str, Any] = {
            name: [str(i) for i in found] if name in MANY else str(found[0])
            for name, found in columns.items()
            if found
        }
        if layout:
            given |= {
                "label": layout.name,
                "day_order": layout.day_order,
                "decimal_mark": layout.decimal_mark,
            }
        super().__init__(data, initial=given)
        told = _("as the file shows")
        self._field("day_order").choices = [("", told), *CsvLayout.DayOrder.choices]
        self._field("decimal_mark").choices = [("", told), (",", _("comma: 12,50")), (".", _("point: 12.50"))]
        options = [(str(i), self._option(i)) for i in range(len(table.heading))]
        for name, label in FIELDS.items():
            if name in MANY:
                self.fields[name] = forms.MultipleChoiceField(
                    label=label, choices=options, required=False, widget=forms.CheckboxSelectMultiple
                )
            else:
                choices = [("", "–"), *options]
                self.fields[name] = forms.ChoiceField(label=label, choices=choices, required=False)

    def _field(self, name: str) -> forms.ChoiceField:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - tells mypy which it is
        return field

    def _option(self, index: int) -> str:
        """Return a column as its heading with the first value below it."""
        cells = (row[index].strip() for _number, row in self.table.rows if index < len(row))
        sample = next(filter(None, cells), "")[:30]
        heading = self.table.heading[index].strip() or _("column %(number)s") % {"number": index + 1}
        return f"{heading}: {sample}" if sample else heading

    def clean_label(self) -> str:
        """Refuse a name that files of another shape bear."""
        name: str = self.cleaned_data["label"].strip()
        others = CsvLayout.objects.filter(name__iexact=name)
        if self.layout:
            others = others.exclude(pk=self.layout.pk)
        if others.exists():
            raise forms.ValidationError(_("Files of another shape have this name; give another."))
        return name

    def clean(self) -> dict[str, Any]:
        """Refuse columns that do not tell day and amount, and headings that stand there twice."""
        data: dict[str, Any] = super().clean() or {}
        columns = self.indexes()
        if not is_enough(columns):
            self.add_error("amount", _("Say which column holds the day, and which hold the amount."))
        names = [plain(cell) for cell in self.table.heading]
        for name, found in columns.items():
            if any(not names[i] or names.count(names[i]) > 1 for i in found):
                self.add_error(name, _("This heading is empty or there twice, so it cannot be remembered."))
        return data

    def indexes(self) -> dict[str, tuple[int, ...]]:
        """Return the chosen columns by field."""
        found = {}
        for name in FIELDS:
            told = self.cleaned_data.get(name) or []
            chosen = told if isinstance(told, list) else [told]
            if chosen:
                found[name] = tuple(int(index) for index in chosen)
        return found

    def columns(self) -> dict[str, list[str]]:
        """Return the chosen headings in plain words by field, as a layout keeps them."""
        return {name: [plain(self.table.heading[i]) for i in found] for name, found in self.indexes().items()}


def job_of(number: str) -> Job:
    """Return the job of a number; raise ``ValidationError`` where there is none."""
    job = Job.objects.filter(number=number.strip().upper()).first()
    if job is None:
        raise forms.ValidationError(_("There is no job %(number)s.") % {"number": number.strip().upper()})
    return job


class MatchForm(forms.Form):
    """Which job an unmatched movement is for."""

    job = forms.CharField(label=gettext_lazy("Job number"), max_length=20)

    def clean_job(self) -> Job:
        """Return the job of that number."""
        return job_of(self.cleaned_data["job"])


class ShareForm(forms.Form):
    """One job's share of a movement; an empty line is none."""

    job = forms.CharField(label=gettext_lazy("Job number"), max_length=20, required=False)
    amount = amount_field(gettext_lazy("Share"), required=False)

    def clean_job(self) -> Job | None:
        """Return the job of that number, if one was typed."""
        number = self.cleaned_data["job"]
        return job_of(number) if number.strip() else None

    def clean(self) -> dict[str, Any]:
        """Refuse half a line."""
        data: dict[str, Any] = super().clean() or {}
        if not self.errors and bool(data.get("job")) != bool(data.get("amount")):
            self.add_error("amount" if data.get("job") else "job", _("Job and share belong together."))
        return data


ShareFormSet = forms.formset_factory(ShareForm, extra=SHARES, max_num=SHARES, absolute_max=SHARES)


def shares_of(formset: Any) -> list[tuple[int, Decimal]]:
    """Return the shares that were typed, by job."""
    return [
        (form.cleaned_data["job"].pk, form.cleaned_data["amount"])
        for form in formset
        if form.cleaned_data.get("job")
    ]


class AsideForm(forms.Form):
    """Why a movement has nothing to do with deposits."""

    note = forms.CharField(label=gettext_lazy("What it is"), required=False, max_length=200)
