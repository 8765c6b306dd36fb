"""What can be asked of a list of parts: what to show, in which order, which page.

Nothing here is part of the build. Words that nobody offered are passed over, so that an old link still
shows a list; only a price that cannot be read is told beside its field.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Field
from django import forms
from django.utils.formats import number_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from configurator.builds import listing
from configurator.builds.listing import Asked, Found
from configurator.catalogue.snapshot import Catalogue
from configurator.pictures import DESIGNS

from .forms_typed import AmountField
from .told import told

LABELS = {
    "diameter": _("Diameter"),
    "width": _("Width"),
    "finish": _("Finish"),
    "design": _("Design"),
    "maker": _("Maker"),
    "kind": _("How it is fixed"),
}
SHOWN = {
    "can": _("What can fit"),
    "fits": _("What fits without measuring"),
    "all": _("Also what does not fit"),
}
SORTS = {
    "fit": _("Best fit first"),
    "price": _("Price, low first"),
    "dearest": _("Price, high first"),
    "small": _("Small first"),
    "large": _("Large first"),
    "name": _("Name"),
}
KIND_WORDS = {"slip_on": _("slipped on"), "bolt_on": _("bolted on")}
LAST_PAGE = 100_000


class ListForm(forms.Form):
    """Filter, order and page of one list; ``tell`` fills in what there is to choose from."""

    show = forms.ChoiceField(label=_("Show"), required=False)
    sort = forms.ChoiceField(label=_("In which order"), required=False, choices=list(SORTS.items()))
    most = AmountField(label=_("At most, each"), required=False, min_value=0, max_digits=9, decimal_places=2)
    page = forms.IntegerField(required=False, widget=forms.HiddenInput)
    hide_optional = True

    def __init__(self, kind: str, data: Mapping[str, Any], *, prefix: str) -> None:
        super().__init__(data, prefix=prefix)
        self.kind, self.facets = kind, listing.FACETS[kind]
        self.use_required_attribute = False
        for name in self.facets:
            self.fields[name] = forms.ChoiceField(label=LABELS[name], required=False)
        self.fields["most"].widget.attrs["inputmode"] = "decimal"

    def _said(self, name: str) -> str:
        return str(self.data.get(self.add_prefix(name)) or "").strip()[:60]

    def asked(self) -> Asked:
        """Return what is asked, whatever was posted."""
        show, sort, page = self._said("show"), self._said("sort"), self._said("page")
        return Asked(
            show=show if show in SHOWN else "can",
            sort=sort if sort in SORTS else "fit",
            facets=tuple((name, value) for name in self.facets if (value := self._said(name))),
            most=self._most(),
            page=min(int(page), LAST_PAGE) if page.isascii() and page.isdecimal() and len(page) < 7 else 1,
        )

    def _most(self) -> Decimal | None:
        field = self.fields["most"]
        try:
            found: Decimal | None = field.clean(self._said("most"))
        except forms.ValidationError as error:
            # The other fields are read leniently, so the form as a whole is never validated.
            self._errors = forms.utils.ErrorDict({"most": self.error_class(error.messages)})
            return None
        return found

    def unusual(self) -> dict[str, str]:
        """Return what was asked for by the names of the fields, without what is usual."""
        usual = {"show": "can", "sort": "fit", "page": "1"}
        said = {name: self._said(name) for name in ("show", "sort", "most", *self.facets)}
        said["page"] = str(self.asked().page)
        return {
            self.add_prefix(name): value for name, value in said.items() if value and value != usual.get(name)
        }

    def tell(self, found: Found, catalogue: Catalogue) -> None:
        """List what can be chosen in each field, with how many parts it leaves."""
        if self._errors is None:
            self._errors = forms.utils.ErrorDict()
        asked, chosen = found.asked, dict(found.asked.facets)
        self.data = {self.add_prefix(name): self._said(name) for name in self.fields}
        self.data |= {self.add_prefix("show"): asked.show, self.add_prefix("sort"): asked.sort}
        self.data[self.add_prefix("page")] = str(asked.page)
        shown = [(name, f"{word} ({found.counts[name]})") for name, word in SHOWN.items()]
        self.fields["show"].choices = shown  # type: ignore[attr-defined]
        for name in self.facets:
            self.data[self.add_prefix(name)] = chosen.get(name, "")
            values = {value: 0 for value in (chosen.get(name),) if value} | dict(found.facets[name])
            named = {value: self._word(name, value, catalogue) for value in values}
            listed = sorted(values, key=lambda value: _order(value, named[value]))
            words = [(value, f"{named[value]} ({values[value]})") for value in listed]
            self.fields[name].choices = [("", gettext("any")), *words]  # type: ignore[attr-defined]
            if len(words) < 2 and name not in chosen:
                del self.fields[name]

    def _word(self, name: str, value: str, catalogue: Catalogue) -> str:
        """Return a value of a facet in the reader's language."""
        if name == "diameter" or (name, self.kind) == ("width", "wheel"):
            return _inches(value)
        if name == "finish" and value in catalogue.finishes:
            return told(catalogue.finishes[value].name)
        if name == "design":
            return design_word(value)
        return str(KIND_WORDS.get(value, f"{value} mm" if name == "width" else value))

    @property
    def helper(self) -> FormHelper:
        """Return how crispy draws the fields, inside the page's one form."""
        helper = FormHelper()
        helper.form_tag, helper.disable_csrf, helper.show_summary = False, True, False
        names = [name for name in (*self.facets, "most", "show", "sort") if name in self.fields]
        helper.layout = Div(*(Field(name) for name in names), "page", css_class="list-fields")
        return helper


def design_word(design: str) -> str:
    """Return a wheel's design in the reader's language; one that we do not draw by its code."""
    return told(DESIGNS[design].name) if design in DESIGNS else design.replace("-", " ")


def _inches(value: str) -> str:
    shown = number_format(float(value), 0 if float(value).is_integer() else 1)
    return gettext("%(figure)s inch") % {"figure": shown}


def _order(value: str, word: str) -> tuple[float, str]:
    """Order figures by their size and words by their letters."""
    is_figure = value.replace(".", "", 1).isdecimal()
    return (float(value), "") if is_figure else (0.0, word.casefold())
