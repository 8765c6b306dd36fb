"""What stands beside each choice: whether it is open, what it clashes with, what is asked, what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from configurator.builds import changing, quoting
from configurator.builds.changing import Edit
from configurator.builds.evaluation import Change, Conflict, Evaluation, OptionState, Problem
from configurator.builds.selection import WAYS
from configurator.catalogue.models import Option
from configurator.catalogue.snapshot import Catalogue

from . import amounts
from .forms import BuildForm
from .told import told

if TYPE_CHECKING:
    from .lists import PartList


@dataclass(frozen=True)
class Way:
    """A change that one button makes: the button's value and its words."""

    value: str
    words: str


@dataclass(frozen=True)
class Mark:
    """What is said beside one option. ``others`` names what it clashes with."""

    token: str
    state: OptionState | None = None
    clash: Conflict | None = None
    others: tuple[str, ...] = ()
    asks: Problem | None = None
    way: Way | None = None
    difference: str = ""


def way(change: Change | None, want: str | None = None) -> Way | None:
    """Return a proposed change as a button."""
    if change is None:
        return None
    edit = changing.edit_of(change, want)
    return Way(changing.written(edit), told(change.text))


def marks(
    form: BuildForm, evaluation: Evaluation, catalogue: Catalogue, prices: dict[str, str]
) -> dict[str, Mark]:
    """Return the mark of every option that the page lists."""
    clashes = {token: clash for clash in reversed(evaluation.conflicts) for token in clash.choices}
    asking = {problem.choice: problem for problem in evaluation.problems if problem.asks}
    return {
        token: _mark(
            token, evaluation, catalogue, clashes.get(token), asking.get(token), prices.get(token, "")
        )
        for token in form.option_tokens
    }


def _mark(
    token: str,
    evaluation: Evaluation,
    catalogue: Catalogue,
    clash: Conflict | None,
    asks: Problem | None,
    price: str,
) -> Mark:
    state = evaluation.options.get(token)
    if clash is not None:
        pairs = zip(clash.choices, clash.choice_names, strict=True)
        others = tuple(name for choice, name in pairs if choice != token)
        return Mark(token, state, clash, others, None, way(clash.change), price)
    opening = state.change if state and state.state == "closed" else None
    return Mark(token, state, None, (), asks, way(opening, token), price)


def prices(
    form: BuildForm, evaluation: Evaluation, lists: dict[str, PartList], catalogue: Catalogue, currency: str
) -> dict[str, str]:
    """Return what each choice on the page would do to the price of this very build, in words."""
    selection = evaluation.selection
    chosen = set(selection.options)
    edits = {token: _toggled(token, chosen, catalogue) for token in form.option_tokens}
    for one in lists.values():
        alike = one.position == "front" and not form.rear_is_own
        for entry in (*one.kept, *one.entries):
            if entry.card.code != one.value:
                edits[entry.card.token] = _placed(entry.card.token, alike)
    edits |= {f"accent={code}": Edit(accent=code) for code in form.accent_codes if code != selection.accent}
    if selection.accent_wanted_hex:
        edits |= {f"way={way}": Edit(way=way) for way in WAYS if way != selection.accent_way}
    others = {
        key: changing.apply(selection, edit, catalogue) for key, edit in edits.items() if edit is not None
    }
    found: dict[str, Decimal] = quoting.differences(selection, others, catalogue)
    return {
        key: amounts.difference(amount, currency, taken_out=key in chosen) for key, amount in found.items()
    }


def _toggled(token: str, chosen: set[str], catalogue: Catalogue) -> Edit | None:
    """Return the edit that takes the option, or takes it out; a fact of the vehicle costs nothing."""
    option = catalogue.options.get(token)
    if option is None or option.kind == Option.Kind.FACT:
        return None
    return Edit(drop=(token,)) if token in chosen else Edit(add=(token,))


def _placed(token: str, alike: bool) -> Edit:
    """Return the edit that puts a part on its axle, or on both where they are fitted alike."""
    place, _colon, code = token.partition(":")
    kind = place.partition("-")[2]
    return Edit(
        add=tuple(
            f"{position}-{kind}:{code}"
            for position in (("front", "rear") if alike else (place.partition("-")[0],))
        )
    )
