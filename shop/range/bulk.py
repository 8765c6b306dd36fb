"""What is done to several rows at once: prices moved, rows retired or brought back, all into the draft."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from configurator.catalogue import drafts
from configurator.catalogue.kinds import Kind
from configurator.catalogue.overlay import Overlaid, drafted_rows, judge_row
from configurator.catalogue.plain import Plain, key_of, of_stored, plain

from . import lists
from .access import editable

Shown = tuple[str, drafts.Seen]
STEPS = ("0.01", "0.05", "0.10", "0.50", "1", "5", "10")


def rounded(amount: Decimal, step: str, ending: str = "") -> Decimal:
    """Return an amount in whole steps; with an ending such as ``0.90`` the next amount that ends so."""
    if ending:
        end = Decimal(ending)
        return (amount - end).to_integral_value(ROUND_CEILING) + end
    one = Decimal(step or "0.01")
    return (amount / one).to_integral_value(ROUND_HALF_UP) * one


class BulkForm(forms.Form):
    """What to do with the rows that are ticked, or with all that were found."""

    keys = forms.MultipleChoiceField(required=False)
    everything = forms.BooleanField(required=False, label=gettext_lazy("All that were found, on every page"))
    deed = forms.ChoiceField(label=gettext_lazy("What to do"))
    amount = forms.DecimalField(
        required=False, max_digits=9, decimal_places=4, localize=True, label=gettext_lazy("How much")
    )
    step = forms.ChoiceField(
        required=False, choices=[(one, one) for one in STEPS], label=gettext_lazy("Rounded to")
    )

    def __init__(self, data: Any = None, *, kind: Kind, user: Any) -> None:
        super().__init__(data)
        fields = list(kind.schema.model_fields)
        may = editable(user, kind.name, fields)
        deeds = []
        if "unit_price" in may:
            deeds += [
                ("price-pct", _("Price up or down by per cent")),
                ("price-set", _("Set the price")),
                ("cost-pct", _("Cost up or down by per cent")),
                ("cost-set", _("Set the cost")),
            ]
        if {"retired", "active"} & may:
            deeds += [("retire", _("Retire")), ("bring-back", _("Bring back"))]
        self.fields["deed"].choices = deeds  # type: ignore[attr-defined]
        self.deeds = deeds

    def clean_keys(self) -> list[str]:
        """Return the ticked rows; whether they are there is looked at when they are changed."""
        return list(self.cleaned_data["keys"])

    def full_clean(self) -> None:
        """Take the ticked rows as they come."""
        typed: Any = self.data
        keys = typed.getlist("keys") if self.is_bound else []
        self.fields["keys"].choices = [(key, key) for key in keys]  # type: ignore[attr-defined]
        super().full_clean()

    def clean(self) -> dict[str, Any]:
        """Ask for rows, and for an amount where a price is moved."""
        data = super().clean() or self.cleaned_data
        if not data.get("keys") and not data.get("everything"):
            self.add_error(None, _("Tick the rows first, or take all that were found."))
        amount, deed = data.get("amount"), data.get("deed", "")
        if deed.endswith(("-pct", "-set")) and "amount" not in self.errors:
            if amount is None:
                self.add_error("amount", _("Say how much."))
            elif deed.endswith("-pct") and not -90 <= amount <= 900:
                self.add_error("amount", _("Per cent from -90 to 900."))
            elif deed.endswith("-set") and amount < 0:
                self.add_error("amount", _("An amount from 0 on."))
        return data


def change_many(
    kind: Kind, asked: lists.Wanted, what: dict[str, Any], request: HttpRequest
) -> tuple[int, list[tuple[str, str]]]:
    """Change rows in the draft; return how many, and the keys of those that were left with the reason."""
    draft = drafts.shared()
    stored = drafted_rows(draft.rows.all()) if draft else {}
    known = Overlaid(stored)
    kept: dict[str, tuple[Plain, str]] = {}
    left: list[tuple[str, str]] = []
    for key, seen in _seen(kind, asked, what, draft):
        if seen.now is None:
            continue
        wanted = changed(seen.now, what)
        if wanted == seen.now:
            continue
        row, wrong = judge_row(kind, {n: v for n, v in wanted.items() if v not in (None, "")}, known)
        if row is None or wrong:
            left.append((key, wrong[0][1]))
        else:
            kept[key] = (plain(row), seen.mark)
    done, missed = drafts.keep_many(kind=kind.name, rows=kept, by=request.user)
    return done, [*left, *((key, _("somebody else changed it just now")) for key in missed)]


def _seen(kind: Kind, asked: lists.Wanted, what: dict[str, Any], draft: Any) -> Iterator[Shown]:
    if not what["everything"]:
        for key in what["keys"]:
            yield key, drafts.look(draft, kind.name, key)
        return
    drafted = {row.key: row for row in draft.rows.filter(kind=kind.name)} if draft else {}
    for stored in lists.found(kind, asked).iterator(chunk_size=2000):
        row = of_stored(kind, stored)
        key = key_of(kind, row)
        yield key, drafts.laid_over(drafted[key], row) if key in drafted else drafts.Seen(row, row, None)


def changed(row: Plain, what: dict[str, Any]) -> Plain:
    """Return a row with one thing done to it."""
    deed, amount = what["deed"], what["amount"]
    if deed in ("retire", "bring-back"):
        name = "active" if "active" in row else "retired"
        return {**row, name: (deed == "bring-back") if name == "active" else (deed == "retire")}
    name = "unit_price" if deed.startswith("price") else "unit_cost"
    new = amount if deed.endswith("-set") else Decimal(row[name]) * (1 + amount / 100)
    return {**row, name: f"{rounded(new, what['step']).normalize():f}"}
