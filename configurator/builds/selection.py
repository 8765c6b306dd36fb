"""What a customer has chosen, as plain data; the form fills it, the evaluation judges it.

>>> Selection(generation="haldor-2", front={"spacer": "sp15"}).front.spacer
'sp15'
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, field_validator

Code = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9.+-]*$", max_length=60)]
POSITIONS = ("front", "rear")
BODY, ACCENT = "body", "accent"
NEAREST, MIXED, DECIDE = "nearest", "mixed", "decide"
WAYS = (NEAREST, MIXED, DECIDE)
BODY_CODE = r"^[^\W_][\w /+-]{0,29}$"
"""A colour code or name as it stands on a vehicle's plate; without a dot, so that it is no address."""


class AxleSelection(BaseModel):
    """Parts for one axle by item code; ``None`` keeps what the vehicle came with."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    wheel: Code | None = None
    tyre: Code | None = None
    spacer: Code | None = None


class Selection(BaseModel):
    """One build: a generation, parts per axle, colours, and options with the finish each is to have.

    ``finishes`` maps an option to ``body``, ``accent`` or a finish code; an option that is not named
    has its first finish choice. ``accent_wanted_hex`` is a colour of the customer's own and ``accent`` the
    paint nearest to it; ``accent_way`` says what is to be done: take that paint, mix one, or decide together
    with the workshop, which until then reckons with the nearest. ``body_hex`` is about the tone of a vehicle
    whose colour is none of the listed ones, and ``body_code`` that colour's code or name on the vehicle's
    plate, where it was found.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    generation: Code
    body_finish: Code | None = None
    body_hex: Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")] | None = None
    body_code: Annotated[str, StringConstraints(pattern=BODY_CODE)] | Literal[""] = ""
    front: AxleSelection = AxleSelection()
    rear: AxleSelection = AxleSelection()
    accent: Code | None = None
    accent_wanted_hex: Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")] | None = None
    accent_way: Literal["nearest", "mixed", "decide"] = "nearest"
    options: Annotated[tuple[Code, ...], Field(max_length=200)] = ()
    finishes: Annotated[dict[Code, Code], Field(max_length=200)] = {}

    @field_validator("options")
    @classmethod
    def _once_each_in_order(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        """Sort and deduplicate, so that the order of clicks never matters."""
        return tuple(sorted(set(value)))

    @property
    def body_is_said(self) -> bool:
        """Whether the vehicle's own colour is stated: a listed one, or another."""
        return self.body_finish is not None or self.body_hex is not None

    def axle(self, position: str) -> AxleSelection:
        """Return the parts chosen for ``front`` or ``rear``."""
        return self.front if position == "front" else self.rear
