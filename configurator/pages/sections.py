"""The sections of the build page: each closes to a line that says what was chosen in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from configurator.builds.choices import VEHICLE, WHEELS, Choice
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import Spec
from configurator.catalogue.models import Option
from configurator.catalogue.snapshot import Catalogue

from . import looks
from .forms import BuildForm
from .told import money, told
from .wording import choice_words

LOOKS = "looks"
TITLES = {
    LOOKS: _("Begin with a look, or from scratch"),
    VEHICLE: _("This is how it comes to us"),
    WHEELS: _("What it stands on"),
    "accent": _("One colour to pick it out"),
    "panels": _("What goes on"),
    "removals": _("What comes off"),
    "care": _("While it is here"),
    "price": _("What it comes to"),
    "photos": _("Show us the vehicle"),
    "keep": _("Keep it, show it, compare it"),
    "send": _("Who is asking?"),
}
LOOK_FIRST = (LOOKS, VEHICLE)
CHOOSING = ("panels", "removals", "care")
"""Sections that are there only when the vehicle has options for them."""


@dataclass(frozen=True)
class Section:
    """One section: ``line`` says what was chosen, ``chosen`` whether anything was."""

    key: str
    title: str
    line: str
    chosen: bool
    opened: bool
    next: str = ""
    after: str = ""

    @property
    def template(self) -> str:
        """The template of what it holds."""
        return f"configurator/sections/{self.key}.html"


OWN = ("photos", "keep", "send")
"""Sections that are about the customer's own build, and not about what is chosen."""


def keys_of(form: BuildForm, spec: Spec) -> list[str]:
    """Return the sections that the vehicle has, in order; a working copy has those to choose in."""
    held = {family.section for family in form.families}
    left_out = set(OWN) if spec.is_copy else set()
    if spec.is_copy or not looks.any_for(form.generation.code, form.catalogue):
        left_out.add(LOOKS)
    return [key for key in TITLES if (key not in CHOOSING or key in held) and key not in left_out]


def sections(
    spec: Spec,
    form: BuildForm,
    evaluation: Evaluation,
    chosen: list[Choice],
    catalogue: Catalogue,
    opened: set[str],
) -> list[Section]:
    """Return the page's sections, in order."""
    keys = keys_of(form, spec)
    found = []
    for place, key in enumerate(keys):
        line, has = _line(key, spec, evaluation, chosen, catalogue)
        following = keys[place + 1] if place + 1 < len(keys) else ""
        after = str(TITLES[following]) if following else ""
        found.append(Section(key, str(TITLES[key]), line, has, key in opened, following, after))
    return found


def next_section(page_sections: list[Section]) -> Section:
    """Return where to go on: after what is open, else where nothing is chosen yet, at last to the end."""
    places = [place for place, section in enumerate(page_sections) if section.opened]
    rest = page_sections[places[-1] + 1 :] if places else page_sections
    left = (section for section in rest if not section.chosen and section.key != LOOKS)
    return next(left, page_sections[-1])


def _line(
    key: str, spec: Spec, evaluation: Evaluation, chosen: list[Choice], catalogue: Catalogue
) -> tuple[str, bool]:
    if key == LOOKS:
        return looks.line(evaluation.selection, catalogue)
    if key == VEHICLE:
        return _vehicle_line(evaluation, catalogue)
    if key == "price":
        return _price_line(evaluation)
    if key == "keep":
        return (spec.name or gettext("Its private address keeps it; a name is yours to give.")), bool(
            spec.name
        )
    if key == "photos":
        return gettext("A few photos save a visit."), False
    if key == "send":
        return gettext("Without obligation."), False
    names = [choice_words(choice) for choice in chosen if choice.section == key]
    if key == "accent" and evaluation.accent:
        names = [told(evaluation.accent.name), *names]
    return ("; ".join(names), True) if names else (gettext("Nothing yet"), False)


def _vehicle_line(evaluation: Evaluation, catalogue: Catalogue) -> tuple[str, bool]:
    names = [told(evaluation.body.name)] if evaluation.body else []
    stated = [catalogue.options.get(code) for code in evaluation.selection.options]
    names += [told(option.name) for option in stated if option and option.kind == Option.Kind.FACT]
    return ("; ".join(names), True) if names else (gettext("Say which colour it is"), False)


def _price_line(evaluation: Evaluation) -> tuple[str, bool]:
    if evaluation.price is None or evaluation.work is None:
        return gettext("Nothing chosen yet, so nothing to pay."), False
    days = evaluation.work.bay_days
    time = ngettext("%(days)s day", "%(days)s days", days) % {"days": days}
    return f"{money(evaluation.price.total, evaluation.price.currency)} · {time}", True


def section_of_field(name: str, form: BuildForm) -> str:
    """Return the section that a field of the build form stands in."""
    if name in ("body_finish", "body_code", "body_tone"):
        return VEHICLE
    if name.startswith("accent"):
        return "accent"
    if name.startswith("f-"):
        return next((f.section for f in form.families if f"f-{f.code}" == name), VEHICLE)
    if name.startswith("finish-"):
        return section_of_token(name.removeprefix("finish-"), form.catalogue)
    return WHEELS


def section_of_token(token: str, catalogue: Catalogue) -> str:
    """Return the section that an option or part stands in."""
    option = catalogue.options.get(token)
    return option.family.section if option else WHEELS


def opened(
    page_sections: Iterable[str], asked: Mapping[str, Any], wrong: set[str], *, empty: bool
) -> set[str]:
    """Return which sections begin open: those asked for, those with something wrong, at first the first."""
    wanted = set(str(asked.get("open", "")).split(",")) & set(page_sections) | wrong
    return wanted or (set(LOOK_FIRST) & set(page_sections) if empty else set())
