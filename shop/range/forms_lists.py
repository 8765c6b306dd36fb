"""Forms of price lists: handing one in, matching its columns, saying how its prices become ours."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from .bulk import STEPS
from .choosing import rows_of
from .list_cells import MOST_BYTES
from .list_reckoning import FIELDS, NEEDED, guess, number
from .models import PriceLayout

ENDINGS = ("", "0.90", "0.95", "0.99", "0.50", "0.00")


class UploadForm(forms.Form):
    """A list and whose it is."""

    supplier = forms.ChoiceField(label=gettext_lazy("Supplier"))
    file = forms.FileField(
        label=gettext_lazy("Price list"), help_text=gettext_lazy("a workbook (XLSX, XLS, ODS) or CSV")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["supplier"].choices = rows_of("suppliers")  # type: ignore[attr-defined]

    def clean_file(self) -> Any:
        """Take a file of bounded size."""
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(_("The file is larger than 20 MB."))
        return file


class LinesField(forms.CharField):
    """Small tables as lines of words, such as ``A 20``."""

    def __init__(self, parts: int, **kwargs: Any) -> None:
        super().__init__(required=False, widget=forms.Textarea(attrs={"rows": 4, "class": "mono"}), **kwargs)
        self.parts = parts

    def prepare_value(self, value: Any) -> Any:
        """Show rows as lines."""
        if isinstance(value, dict):
            value = list(value.items())
        return "\n".join(" ".join(map(str, one)) for one in value) if isinstance(value, list) else value

    def to_python(self, value: Any) -> Any:
        """Return the rows: first a word, then figures."""
        found = []
        for line in str(value or "").splitlines():
            words = line.replace("%", " ").split()
            if not words:
                continue
            figures = [number(word, "," if "," in word else ".") for word in words[1:]]
            if len(words) != self.parts or None in figures:
                raise forms.ValidationError(_("“%(line)s” cannot be read.") % {"line": line[:40]})
            found.append([words[0][:40], *(f"{one:f}" for one in figures if one is not None)])
        return found


class LayoutForm(forms.ModelForm):
    """Which column holds what, and how its prices become ours; remembered for the supplier."""

    groups = LinesField(
        2,
        label=gettext_lazy("Discount groups"),
        help_text=gettext_lazy("one a line: group and per cent off, such as A 20; empty: no discounts"),
    )
    markups = LinesField(
        3,
        label=gettext_lazy("Our margin"),
        help_text=gettext_lazy(
            "one a line: group or *, cost from, per cent on the cost, such as * 0 60; empty: prices stay, "
            "or follow the recommended price"
        ),
    )

    class Meta:
        model = PriceLayout
        fields = (
            "currency", "rate", "tax_included_pct", "groups", "markups", "step", "ending", "adds_new",
            "retires_gone",
        )  # fmt: skip
        labels = {
            "currency": gettext_lazy("Currency of the list"),
            "rate": gettext_lazy("One of it in our currency"),
            "tax_included_pct": gettext_lazy("Tax that its prices include (%)"),
            "adds_new": gettext_lazy("Add goods that are new on the list"),
            "retires_gone": gettext_lazy("Retire goods that are no longer on the list"),
        }
        help_texts = {"tax_included_pct": gettext_lazy("0: without tax")}

    def __init__(self, *args: Any, heading: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = {name: told for name, told in self.instance.columns.items() if told in heading}
        begun = known or guess(heading)
        choices = [("", "–"), *((told, told) for told in dict.fromkeys(heading) if told)]
        for name, label in FIELDS.items():
            self.fields[f"column-{name}"] = forms.ChoiceField(
                required=name in NEEDED, choices=choices, label=label, initial=begun.get(name, "")
            )
        self.fields["step"] = forms.ChoiceField(
            choices=[(one, one) for one in STEPS], label=_("Prices rounded to")
        )
        self.fields["ending"] = forms.ChoiceField(
            required=False,
            choices=[(one, one.removeprefix("0") or "–") for one in ENDINGS],
            label=_("or always up to the ending"),
        )
        self.fields["step"].initial, self.fields["ending"].initial = self.instance.step, self.instance.ending

    def clean_groups(self) -> dict[str, str]:
        """Return per cent off by group, from 0 to 100."""
        found = {group.casefold(): off for group, off in self.cleaned_data["groups"]}
        if not all(0 <= Decimal(off) <= 100 for off in found.values()):
            raise forms.ValidationError(_("Per cent from 0 to 100."))
        return found

    def clean_markups(self) -> list[list[str]]:
        """Return group, cost from and per cent on the cost."""
        found = [[group.casefold(), least, on] for group, least, on in self.cleaned_data["markups"]]
        if not all(Decimal(least) >= 0 and 0 <= Decimal(on) <= 2000 for _group, least, on in found):
            raise forms.ValidationError(_("Costs from 0 on, per cent from 0 to 2000."))
        return found

    def clean_currency(self) -> str:
        """Return three capital letters."""
        told = str(self.cleaned_data["currency"]).upper()
        if len(told) != 3 or not told.isalpha():
            raise forms.ValidationError(_("Three letters, such as EUR."))
        return told

    def clean_rate(self) -> Decimal:
        """Return a rate above nothing."""
        rate: Decimal = self.cleaned_data["rate"]
        if rate <= 0:
            raise forms.ValidationError(_("More than 0."))
        return rate

    def clean_tax_included_pct(self) -> Decimal:
        """Return per cent from 0 on."""
        told: Decimal = self.cleaned_data["tax_included_pct"]
        if not 0 <= told <= 60:
            raise forms.ValidationError(_("Per cent from 0 to 60."))
        return told

    def save(self, commit: bool = True) -> PriceLayout:
        """Keep it with the columns that were matched."""
        told = {name: self.cleaned_data[f"column-{name}"] for name in FIELDS}
        self.instance.columns = {name: heading for name, heading in told.items() if heading}
        self.instance.step = self.cleaned_data["step"]
        self.instance.ending = self.cleaned_data["ending"]
        return super().save(commit)
