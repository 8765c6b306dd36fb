"""What the build page shows of an evaluation, for the whole page and for an update in place."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from configurator.builds import standing
from configurator.builds.changing import written
from configurator.builds.choices import Choice, choices, job_line
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import Spec
from configurator.builds.vin import check_vin
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.workshop import currency_of
from configurator.colour import delta_e_2000, hex_to_lab

from . import drawing, lists, looks, marks
from .forms import BuildForm
from .sections import (
    LOOKS,
    Section,
    keys_of,
    next_section,
    opened,
    section_of_field,
    section_of_token,
    sections,
)
from .told import told
from .wording import STANDINGS

LIVE = (
    "accent",
    "warnings",
    "why",
    "agreement",
    "brought",
    "materials",
    "steps",
    "cautions",
    "clashes",
    "price",
    "strip",
    "time",
    "vin",
    "chosen",
)
PIECES, MATERIALS = {"fastener", "ring", "extra"}, {"material", "paint"}


@dataclass(frozen=True)
class Answer:
    """What one request says back about a build.

    ``asked`` holds what is asked of the lists and sections, ``notes`` what was done along with the choice,
    ``turn`` the view of the picture that shows what was changed, ``wrong`` the sections with a refused field.
    """

    spec: Spec
    form: BuildForm
    evaluation: Evaluation
    catalogue: Catalogue
    asked: Mapping[str, Any]
    notes: list[str] = field(default_factory=list)
    turn: str = ""
    wrong: frozenset[str] = frozenset()

    @property
    def currency(self) -> str:
        """The workshop's currency."""
        return currency_of(self.catalogue.workshop)


def live_context(answer: Answer) -> dict[str, Any]:
    """Return everything that changes with a choice."""
    evaluation, form, catalogue = answer.evaluation, answer.form, answer.catalogue
    part_lists = lists.part_lists(form, evaluation, catalogue, answer.asked)
    prices = marks.prices(form, evaluation, part_lists, catalogue, answer.currency)
    chosen = choices(evaluation, catalogue)
    where = standing.standing(evaluation)
    vin = answer.asked.get("vin", answer.spec.contact.get("vin", ""))
    page_sections = _sections(answer, chosen)
    return {
        "spec": answer.spec,
        "form": form,
        "generation": form.generation,
        "evaluation": evaluation,
        "catalogue_version": catalogue.version,
        "currency": answer.currency,
        "chosen": [(choice, written(choice.undo) if choice.undo else "") for choice in chosen],
        "job_line": job_line(evaluation),
        "brought": [line for line in evaluation.parts if line.kind in PIECES],
        "materials": [line for line in evaluation.parts if line.kind in MATERIALS],
        "standing": where,
        "standing_word": STANDINGS[where],
        "standing_tone": standing.TONES[where],
        "clashes": [(clash, marks.way(clash.change)) for clash in evaluation.conflicts],
        "loose_problems": [p for p in evaluation.problems if form.field_for(p.field) is None],
        "asks": [p for p in evaluation.problems if p.asks],
        "notes": answer.notes,
        "vin_warning": check_vin(vin).warning if vin else "",
        "fits": [(position, evaluation.fits.get(position)) for position in ("front", "rear")],
        **_looks(answer, page_sections),
        "section_key": section_key(evaluation),
        "marks": marks.marks(form, evaluation, catalogue, prices),
        "prices": prices,
        "part_lists": part_lists,
        "sections": page_sections,
        "next_section": next_section(page_sections),
        "turn": answer.turn,
        **_nearest(answer),
        **drawing.pictures(evaluation.selection, catalogue),
    }


def _looks(answer: Answer, page_sections: list[Section]) -> dict[str, Any]:
    """Return the ready-made looks where the page has a section for them, and what a choice may change."""
    if not any(section.key == LOOKS for section in page_sections):
        return {"live": LIVE}
    shown = looks.shown(answer.evaluation.selection, answer.catalogue)
    return {"live": (*LIVE, LOOKS), "may_go_back": answer.spec.before_look is not None, **shown}


def _nearest(answer: Answer) -> dict[str, Any]:
    """Return the paint nearest to a colour of the customer's own, and how far off it is (CIEDE2000)."""
    selection = answer.evaluation.selection
    finish = answer.catalogue.finishes.get(selection.accent or "")
    if selection.accent_wanted_hex is None or finish is None:
        return {}
    gap = float(delta_e_2000(hex_to_lab(selection.accent_wanted_hex), hex_to_lab(finish.hex)))
    return {"nearest": finish, "nearest_name": told(finish.name), "nearest_gap": gap}


def _sections(answer: Answer, chosen: list[Choice]) -> list[Section]:
    evaluation, form = answer.evaluation, answer.form
    wrong = set(answer.wrong) | {
        section_of_field(name, form)
        for p in evaluation.problems
        if (name := form.field_for(p.field)) and not p.asks
    }
    wrong |= {section_of_token(p.choice, answer.catalogue) for p in evaluation.problems if p.asks}
    wrong |= {section_of_token(t, answer.catalogue) for c in evaluation.conflicts for t in c.choices}
    keys = keys_of(form, answer.spec)
    empty = not chosen
    return sections(
        answer.spec,
        form,
        evaluation,
        chosen,
        answer.catalogue,
        opened(keys, answer.asked, wrong & set(keys), empty=empty),
    )


def section_key(evaluation: Evaluation) -> str:
    """Return what makes a browser fetch the cross-sections anew when wheels, tyres or spacers change."""
    axles = evaluation.selection.front.model_dump_json() + evaluation.selection.rear.model_dump_json()
    return f"{zlib.crc32(axles.encode()):x}-{evaluation.catalogue_version}"
