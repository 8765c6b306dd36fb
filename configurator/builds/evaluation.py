"""What the server makes of a selection: the one result that pages show and jobs are made from.

Plain frozen data with a JSON form (``model_dump(mode="json")`` and ``model_validate``), so that a
frozen revision can be read without the live catalogue. Money is Decimal, tax included unless the name
says ``net``; hours are working hours.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from pydantic import field_validator, model_validator

from configurator.words import Said, Text, phrases, revived

from .records import FitNeed, Frozen, PieceFacts
from .selection import POSITIONS, Selection


class Problem(Frozen):
    """Something wrong with one field of the selection: unknown code, other vehicle's part.

    ``asks`` says that nothing is wrong but something is still to be said, for the option ``choice``.
    """

    field: str
    message: Text
    choice: str = ""
    asks: bool = False


class FitRow(Frozen):
    """One fitment check, as the fitment package answers it."""

    id: str
    verdict: str
    value: float | str | None
    limit: float | str | None
    margin: float | None
    tolerance: float | None
    unit: str
    axle: str
    message: Text
    source: str


class FitCaution(Frozen):
    """One of the usual cautions of a fit: what it is, where it belongs, and its text."""

    id: str
    where: str  # verdict, specification, assembly, handover
    text: Text


class AxleFit(Frozen):
    """Everything about one axle: rows, needs, derived figures, a line for people and the usual cautions."""

    position: str
    verdict: str
    headline: Text
    checks: tuple[FitRow, ...]
    needs: tuple[FitNeed, ...]
    derived: dict[str, float | None]
    cautions: tuple[FitCaution, ...] = ()


class Change(Frozen):
    """The smallest change that helps, with names for people."""

    drop: tuple[str, ...]
    add: tuple[str, ...]
    text: Text


class Conflict(Frozen):
    """Choices that do not go together: a minimal set, in the rules' own words."""

    choices: tuple[str, ...]
    choice_names: tuple[Text, ...]
    reasons: tuple[Text, ...]
    change: Change | None = None


class OptionState(Frozen):
    """Whether an option can still be chosen, and if not, why and what would open it."""

    id: str
    state: str  # chosen, open, forced, closed
    reasons: tuple[Text, ...] = ()
    change: Change | None = None


class PartLine(Frozen):
    """One line of the parts list; it says which choices asked for it and where it goes.

    ``quantity`` is in ``unit``; ``facts`` tell what identifies the piece.
    """

    item: str
    name: Text
    kind: str  # wheel, tyre, spacer, fastener, ring, panel, paint, material, extra
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal
    unit_cost_net: Decimal
    at_cost_of: str  # customer, workshop
    returnable: bool
    supplier: str
    supplier_name: str
    supplier_ref: str
    pack_size: Decimal
    lead_time_days: int
    for_choices: tuple[str, ...]
    for_names: tuple[Text, ...]
    where: Text
    why: Text
    facts: PieceFacts = PieceFacts()


class WorkStep(Frozen):
    """One operation of the merged plan. ``after`` names the keys that must be done before it."""

    key: str
    stage: str
    name: Text
    hands_on_h: float
    wait_h: float
    resource: str
    after: tuple[str, ...]
    for_choices: tuple[str, ...]
    for_names: tuple[Text, ...]
    caution: Text = ""
    paint: dict[str, Any] = {}  # system, finish, hex, coat for booth steps
    torque_nm: float | None = None
    axle: str = ""
    fastener_count: int = 0  # how many are tightened to torque_nm; 0 where it is not known


class Work(Frozen):
    """How long the job holds the workshop; waits, not hours, usually decide."""

    steps: tuple[WorkStep, ...]
    hands_on_h: float
    critical_h: float
    critical_path: tuple[str, ...]
    bay_days: int


class PriceLine(Frozen):
    """One line of the price as the customer sees it."""

    choice: str
    label: Text
    parts: Decimal
    labour: Decimal
    amount: Decimal


class Price(Frozen):
    """What it costs: all tax included, with the tax split kept."""

    currency: str
    lines: tuple[PriceLine, ...]
    parts: Decimal
    labour: Decimal
    total: Decimal
    tax_rate_pct: Decimal
    tax: Decimal
    net: Decimal
    deposit: Decimal
    deposit_why: Text


class ColourChoice(Frozen):
    """A resolved colour: which finish, seen how, and on which parts."""

    finish: str
    name: Text
    hex: str
    paint_code: str = ""
    wanted_hex: str | None = None
    difference: float | None = None
    way: str = ""  # of a colour of the customer's own: nearest, mixed, decide
    warnings: tuple[Text, ...] = ()


class Evaluation(Frozen):
    """The whole answer to one selection."""

    selection: Selection
    catalogue_version: int
    problems: tuple[Problem, ...] = ()
    fits: dict[str, AxleFit] = {}
    verdict: str = "fits"
    conflicts: tuple[Conflict, ...] = ()
    options: dict[str, OptionState] = {}
    accent: ColourChoice | None = None
    body: ColourChoice | None = None
    parts: tuple[PartLine, ...] = ()
    work: Work | None = None
    price: Price | None = None
    cautions: tuple[Text, ...] = ()  # what the owner should know
    bench_cautions: tuple[Text, ...] = ()  # what the workshop's people must heed
    names: dict[str, Text] = {}
    summary: tuple[Text, ...] = ()
    said: dict[str, Any] = {}  # only when kept: the values of every text here, by its English

    @model_validator(mode="before")
    @classmethod
    def _with_values(cls, data: Any) -> Any:
        """Give the texts of a kept evaluation their values back; older ones have only English."""
        if isinstance(data, dict) and (book := data.get("said")):
            return {name: book if name == "said" else revived(value, book) for name, value in data.items()}
        return data

    @field_validator("fits")
    @classmethod
    def _front_first(cls, fits: dict[str, AxleFit]) -> dict[str, AxleFit]:
        """Put the axles in order: PostgreSQL keeps the keys of what was frozen in an order of its own."""
        places = {place: rank for rank, place in enumerate(POSITIONS)}
        return dict(sorted(fits.items(), key=lambda fit: places.get(fit[0], len(places))))

    def kept(self) -> dict[str, Any]:
        """Return it as JSON that keeps what its texts are made of, for every language to come."""
        return {**self.model_dump(mode="json"), "said": phrases(self)}

    def spoken(self, text: str) -> str:
        """Return a text that was copied from here with its values again, as far as they were kept."""
        return Said.read(text, self.said.get(text))

    @property
    def sendable(self) -> bool:
        """Whether nothing stands against sending it: ``measure`` and ``unknown`` may go to the workshop."""
        return not self.problems and not self.conflicts and self.verdict != "no" and self.price is not None
