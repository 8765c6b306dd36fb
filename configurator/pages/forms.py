"""The build form: what is posted becomes a Selection; the evaluation says what is wrong with it.

The form knows shapes (what a code looks like), never prices or labels. Whether a code exists, suits the
vehicle and goes with the rest is the evaluation's word, put beside the field by ``show_problems``.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field
from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from configurator.builds.evaluation import Problem
from configurator.builds.selection import POSITIONS, AxleSelection, Selection
from configurator.catalogue import selectors
from configurator.catalogue.models import Family, Generation
from configurator.catalogue.snapshot import Catalogue

from . import forms_cards as cards
from .forms_colours import ColourFields, Nearest
from .forms_fields import CodeField, CodesField, section
from .forms_values import OWN, PARTS, initial
from .told import told


class BuildForm(ColourFields):
    """Everything that can be chosen for one generation."""

    hide_optional = True

    rear_differs = forms.BooleanField(label=_("Something else at the rear"), required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        generation: Generation,
        catalogue: Catalogue,
        selection: Selection | None = None,
        nearest: Nearest | None = None,
    ) -> None:
        self.generation, self.catalogue, self.nearest, self.chosen = generation, catalogue, nearest, selection
        grouped = ((f, cards.family_cards(f, o)) for f, o in selectors.families_for(catalogue, generation))
        self.listed = [(family, choices) for family, choices in grouped if choices]
        self.families = [family for family, _choices in self.listed]
        super().__init__(data, initial=initial(selection) if selection else None)
        self._add_colours()
        for position, prefix in (("front", ""), ("rear", "rear_")):
            self._add_axle(position, prefix)
        for family, listed in self.listed:
            self._add_family(family, listed)
        if self.is_motorcycle:
            self.fields["rear_differs"].widget = forms.HiddenInput()
            self.initial["rear_differs"] = True

    def _add_colours(self) -> None:
        body = cards.finish_cards(self.generation.body_finishes.all())
        body.append((OWN, cards.Card(OWN, str(_("Another colour")))))
        self.fields["body_finish"] = CodeField(label=_("What colour is it now?"), choices=body)
        accents = cards.accent_cards(self.catalogue)
        none = ("", cards.Card("", str(_("No accent colour"))))
        own = (OWN, cards.Card(OWN, str(_("A colour of my own"))))
        self.fields["accent"] = CodeField(label=_("Accent colour"), choices=[none, *accents, own])

    def _add_axle(self, position: str, prefix: str) -> None:
        """Add the fields of one axle; what they list is not the form's to know."""
        axle = self.catalogue.axles.get((self.generation.code, position))
        self.fields[f"{prefix}wheel"] = CodeField(label=_("Wheels"))
        self.fields[f"{prefix}tyre"] = CodeField(label=_("Tyres"))
        if axle and selectors.spacers_for(self.catalogue, axle):
            self.fields[f"{prefix}spacer"] = CodeField(label=_("Spacers"))

    def _add_family(self, family: Family, listed: cards.Choices) -> None:
        single = len(listed) > 1 and (family.kind == Family.Kind.ONE or family.limit == 1)
        if single:
            unsaid = _("I am not sure") if family.kind == Family.Kind.ONE else _("None of these")
            none = ("", cards.Card("", str(unsaid)))
            field: forms.Field = CodeField(label=family.name, choices=[none, *listed])
        else:
            field = CodesField(label=family.name, choices=listed)
        self.fields[f"f-{family.code}"] = field
        chosen = self._chosen_of(listed)
        self.initial[f"f-{family.code}"] = next(iter(chosen), "") if single else chosen
        for code, card in listed:
            if len(card.finishes) > 1:
                finishes = cards.finish_choices(card, self.catalogue)
                self.fields[f"finish-{code}"] = CodeField(
                    label=_("Finish"), widget=forms.Select, choices=finishes
                )

    def _chosen_of(self, listed: cards.Choices) -> list[str]:
        """Return what is chosen of a family; of the vehicle's facts, what is usual until it is said."""
        codes = [code for code, _card in listed]
        chosen = [code for code in codes if code in self.initial.get("options", ())]
        return chosen or [code for code in codes if code in self.generation.facts]

    def colours(self, name: str) -> cards.Choices:
        """Return the colours that the field ``body_finish`` or ``accent`` lists, as cards."""
        choices = self.fields[name].widget.choices
        return [(code, card) for code, card in choices if code not in ("", OWN)]

    @property
    def accent_codes(self) -> list[str]:
        """Return the accent colours that the page lists."""
        return [code for code, _card in self.colours("accent")]

    @property
    def is_motorcycle(self) -> bool:
        """Whether front and rear always have wheels of their own."""
        return selectors.vehicle_class(self.generation) == selectors.MOTORCYCLE

    @property
    def option_tokens(self) -> list[str]:
        """Return the options that the page lists, as the rules name them."""
        return [code for _family, choices in self.listed for code, _card in choices]

    @property
    def rear_is_own(self) -> bool:
        """Whether the rear axle has fields of its own."""
        return bool(self["rear_differs"].value())

    # what the page draws, section by section

    def family_fields(self, wanted: str) -> list[Field]:
        """Return the crispy fields of the families in one section."""
        return [
            Field(f"f-{family.code}", template="configurator/fields/options.html")
            for family in self.families
            if family.section == wanted
        ]

    @property
    def rear_section(self) -> FormHelper:
        """Return a crispy helper for the rear axle's own fields."""
        return section(*self._axle_fields("rear_"))

    @property
    def sections(self) -> dict[str, FormHelper | None]:
        """Return a crispy helper for each section; ``None`` when it has nothing in it."""
        listed = {name: self.family_fields(name) for name in cards.SECTIONS}
        return {
            "body": section(Field("body_finish", template="configurator/fields/body.html")),
            "front": section(*self._axle_fields("")),
            "accent": section(Field("accent", template="configurator/fields/accent.html")),
            **{f"{name}_options": section(*fields) if fields else None for name, fields in listed.items()},
        }

    def _axle_fields(self, prefix: str) -> list[Field]:
        names = [f"{prefix}{part}" for part in PARTS]
        return [
            Field(name, template="configurator/fields/parts.html") for name in names if name in self.fields
        ]

    # from the post to a selection

    def selection(self) -> Selection:
        """Return what was chosen; call it only on a valid form."""
        data = self.cleaned_data
        front = self._axle("")
        chosen = self._options()
        return Selection(
            generation=self.generation.code,
            **self.body(),
            **self.accent(),
            front=front,
            rear=self._axle("rear_") if data.get("rear_differs") else front,
            options=tuple(chosen),
            finishes=self._finish_choices(chosen),
        )

    def follow(self, selection: Selection) -> None:
        """Show the tyres that the selection ended up with instead of those posted."""
        if not self.is_bound:
            return
        data = QueryDict(mutable=True)
        data.update(self.data)
        for position, prefix in (("front", ""), ("rear", "rear_")):
            data[f"{prefix}tyre"] = selection.axle(position).tyre or ""
        self.data = data

    def _axle(self, prefix: str) -> AxleSelection:
        if prefix and f"{prefix}wheel" not in self.data and not self.is_motorcycle:
            # The rear has only now got fields of its own: it begins like the front.
            prefix = ""
        return AxleSelection(**{part: self.cleaned_data.get(f"{prefix}{part}") or None for part in PARTS})

    def _options(self) -> list[str]:
        found: list[str] = []
        for family in self.families:
            value = self.cleaned_data.get(f"f-{family.code}")
            found += [value] if isinstance(value, str) and value else list(value or [])
        return found

    def _finish_choices(self, chosen: Iterable[str]) -> dict[str, str]:
        given = {code: self.cleaned_data.get(f"finish-{code}") for code in chosen}
        return {code: finish for code, finish in given.items() if finish}

    def show_problems(self, problems: Iterable[Problem]) -> None:
        """Put each problem of the evaluation beside the field that caused it."""
        for problem in problems:
            name = self.field_for(problem.field)
            message = told(problem.message)
            if name is None or message not in self.errors.get(name, []):
                self.add_error(name, message)

    def field_for(self, name: str) -> str | None:
        """Return the form's field for a field of the selection; ``None`` when it has none."""
        position, _dot, part = name.partition(".")
        if position in POSITIONS:
            name = part if position == "front" or not self.rear_is_own else f"rear_{part}"
        elif position == "finishes" and part:
            name = f"finish-{part}"
        return name if name in self.fields else None
