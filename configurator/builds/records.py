"""What the records of an evaluation are made of, and those whose JSON holds only what was said."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, SerializerFunctionWrapHandler, model_serializer

from configurator.words import Text


class Frozen(BaseModel):
    """Base of every record here."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class AsGiven(Frozen):
    """Base of records whose JSON holds only what was said of the piece: what is absent stays absent.

    What a newer or older program wrote beside it is kept, so that a frozen revision goes out as it came in.
    """

    model_config = ConfigDict(frozen=True, extra="allow")

    @model_serializer(mode="wrap")
    def _only_what_was_given(self, whole: SerializerFunctionWrapHandler) -> dict[str, Any]:
        return {name: value for name, value in whole(self).items() if name in self.model_fields_set}

    def kept(self) -> dict[str, Any]:
        """Return it as rows keep it: plain JSON."""
        return self.model_dump(mode="json")


class FitNeed(AsGiven):
    """Something a fit asks for: a part, a measurement or a figure. Sizes stand beside it under their names.

    ``count`` is per axle; ``what`` is ``fastener``, ``stud``, ``centring_ring``, ``measure``, ``input`` and
    the like, as fitment names it (`configurator.fitment.needs`).
    """

    what: str
    count: int | None = None
    message: str = ""
    message_id: str = ""
    figures: dict[str, Any] = {}
    also: tuple[dict[str, Any], ...] = ()


class PieceFacts(AsGiven):
    """What identifies a piece beside its item: of a bolt, of a coat of paint, of a painted part.

    Lengths in mm, films in µm, solvents in g/l. Empty or None: not said. Names of finish and system are
    texts of the catalogue, as the build was made.
    """

    kind: str = ""  # of a fastener: bolt, nut
    thread: str = ""
    shank_mm: int | float | None = None
    seat: str = ""
    property_class: str = ""
    locking: bool = False
    system: Text = ""
    coat: str = ""  # the layer's stage: prime, colour, lacquer
    dry_film_um: int | float | None = None
    voc_g_per_l: int | float | None = None
    max_temperature_c: int | float | None = None
    finish: Text = ""
    hex: str = ""
    paint_code: str = ""
