"""The choices of a build as a customer thinks of them: one row each, its cost and its undoing."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from configurator.catalogue.literals import PART_KINDS
from configurator.catalogue.models import Option

from .changing import Edit
from .evaluation import Evaluation, PriceLine
from .selection import NEAREST, POSITIONS
from .tasks import BODY_COLOUR, COLOUR, JOB

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

WHEELS, VEHICLE = "wheels", "vehicle"
BOTH = "both"


@dataclass(frozen=True)
class Choice:
    """One thing chosen; ``place`` is front, rear or both for parts of axles.

    Parts that stand alike on both axles are one choice with two ``tokens``.
    """

    tokens: tuple[str, ...]
    section: str
    name: str
    place: str = ""
    parts: Decimal = Decimal(0)
    labour: Decimal = Decimal(0)

    @property
    def amount(self) -> Decimal:
        """What it costs as things are, its share of shared work included."""
        return self.parts + self.labour

    @property
    def undo(self) -> Edit | None:
        """The edit that takes it out again: without the mixing the nearest paint is taken.

        None where nothing does: what colour the vehicle has is a fact.
        """
        if self.tokens == (BODY_COLOUR,):
            return None
        return Edit(way=NEAREST) if self.tokens == (COLOUR,) else Edit(drop=self.tokens)


def choices(evaluation: Evaluation, catalogue: Catalogue) -> list[Choice]:
    """Return what is chosen, in the order of the page; facts of the vehicle are not among it."""
    return [
        *_of_axles(evaluation, catalogue),
        *_of_options(evaluation, catalogue),
        *_of_colour(evaluation),
    ]


def _of_axles(evaluation: Evaluation, catalogue: Catalogue) -> list[Choice]:
    selection = evaluation.selection
    known: dict[str, dict[str, Any]] = {
        "wheel": catalogue.wheels,
        "tyre": catalogue.tyres,
        "spacer": catalogue.spacers,
    }
    lines = _lines(evaluation)
    found = []
    for kind in PART_KINDS:
        codes = {position: getattr(selection.axle(position), kind) for position in POSITIONS}
        alike = codes["front"] == codes["rear"]
        for places in [POSITIONS] if alike else [(position,) for position in POSITIONS]:
            code = codes[places[0]]
            part = known[kind].get(code) if code else None
            if part is not None:
                tokens = tuple(f"{place}-{kind}:{code}" for place in places)
                place = BOTH if alike else places[0]
                found.append(Choice(tokens, WHEELS, str(part), place, **_sums(tokens, lines)))
    return found


def _of_options(evaluation: Evaluation, catalogue: Catalogue) -> list[Choice]:
    lines = _lines(evaluation)
    chosen = [o for code in evaluation.selection.options if (o := catalogue.options.get(code))]
    order = {code: place for place, code in enumerate(catalogue.options)}
    return [
        Choice(
            (option.code,),
            option.family.section,
            evaluation.names.get(option.code, option.name),
            **_sums((option.code,), lines),
        )
        for option in sorted(chosen, key=lambda option: order[option.code])
        if option.kind != Option.Kind.FACT
    ]


def _of_colour(evaluation: Evaluation) -> list[Choice]:
    """Return the mixing of a colour of the customer's own, and the matching of the vehicle's."""
    lines, names = _lines(evaluation), evaluation.names
    return [
        Choice((token,), section, names[token], **_sums((token,), lines))
        for token, section in ((COLOUR, "accent"), (BODY_COLOUR, VEHICLE))
        if token in names
    ]


def _lines(evaluation: Evaluation) -> dict[str, PriceLine]:
    return {line.choice: line for line in evaluation.price.lines} if evaluation.price else {}


def _sums(tokens: tuple[str, ...], lines: dict[str, PriceLine]) -> dict[str, Any]:
    own = [lines[token] for token in tokens if token in lines]
    return {
        "parts": sum((line.parts for line in own), Decimal(0)),
        "labour": sum((line.labour for line in own), Decimal(0)),
    }


def job_line(evaluation: Evaluation) -> PriceLine | None:
    """Return the price of what every job needs, whatever is chosen."""
    return _lines(evaluation).get(JOB)
