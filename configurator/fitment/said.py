"""Messages as values, and their English."""

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import zip_longest
from typing import Any, NamedTuple

from .codes import word
from .messages import TEMPLATES, UNITS

Figure = float | int | str | list[float] | list[str]
Say = Callable[[str, Mapping[str, Figure]], str]
"""Words one message: (id, figures) -> text."""

_PLACEHOLDER = re.compile(r"\{(\w+)(?::([+#0-9]*))?\}")


class Spec(NamedTuple):
    """How a placeholder wants its figure written."""

    places: int = 1
    signed: bool = False
    bare: bool = False


@dataclass(frozen=True)
class Message:
    """One message: an id of `messages.TEMPLATES`, and its figures."""

    id: str
    figures: Mapping[str, Figure] = field(default_factory=dict, hash=False)

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {"message_id": self.id, "figures": dict(self.figures)}


Messages = tuple[Message, ...]


def message(message_id: str, **figures: Any) -> Message:
    """Return a message; numbers are kept to six decimals, and none is -0."""
    return Message(message_id, {name: _figure(value) for name, value in figures.items()})


def _figure(value: Any) -> Figure:
    if isinstance(value, tuple | list):
        return [_figure(one) for one in value]  # type: ignore[return-value]
    return value if isinstance(value, str | int) else round(float(value), 6) + 0.0


def told(messages: Iterable[Message], say: Say | None = None) -> str:
    """Return messages as one text, in English unless another way to say them is given."""
    return " ".join((say or english)(one.id, one.figures) for one in messages)


def as_dict(messages: Messages) -> dict[str, Any]:
    """Return messages as plain data: `message_id` and `figures` of the first, `also` for the rest."""
    return {**messages[0].as_dict(), "also": [one.as_dict() for one in messages[1:]]}


def english(message_id: str, figures: Mapping[str, Figure]) -> str:
    """Return a message in English, lengths in mm. Raises KeyError for an unknown id or a missing figure."""
    return fill(TEMPLATES[message_id], figures, _english_figure)


def fill(template: str, figures: Mapping[str, Figure], write: Callable[[str, Figure, Spec], str]) -> str:
    """Fill a template in any language; `write(key, value, spec)` writes one figure."""
    texts, places = _parts(template)
    written = [write(key, figures[key], spec) for key, spec in places]
    return "".join(piece for pair in zip_longest(texts, written, fillvalue="") for piece in pair)


@lru_cache(maxsize=4096)
def _parts(template: str) -> tuple[tuple[str, ...], tuple[tuple[str, Spec], ...]]:
    """Return a template's texts and the places between them; the same ones are filled all the time."""
    pieces = _PLACEHOLDER.split(template)
    places = tuple((key, _spec(spec or "")) for key, spec in zip(pieces[1::3], pieces[2::3], strict=True))
    return tuple(pieces[::3]), places


def _spec(spec: str) -> Spec:
    digits = spec.strip("+#")
    return Spec(int(digits) if digits else 1, "+" in spec, "#" in spec)


def plain(value: float, places: int = 1, *, signed: bool = False) -> str:
    """Write a number with at most `places` decimals, no trailing zeros, no -0 and no sign before 0."""
    text = f"{abs(value):.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    if text == "0":
        return text
    return f"−{text}" if value < 0 else f"+{text}" if signed else text


def _english_figure(key: str, value: Figure, spec: Spec) -> str:
    kind = key.rsplit("_", 1)[-1]
    if isinstance(value, str):
        return word(kind, value)
    if isinstance(value, list):
        if value and isinstance(value[0], str):
            return ", ".join(word(kind.removesuffix("s"), str(code)) for code in value)
        number = _sum([float(part) for part in value], spec.places)
    else:
        number = plain(value, spec.places, signed=spec.signed)
    unit = "" if spec.bare else UNITS.get(kind, "")
    return f"{number} {unit}" if unit else number


def _sum(parts: list[float], places: int) -> str:
    """Write a sum as one: `27 + 15 − 3`."""
    first, *rest = parts
    written = [plain(first, places)]
    for part in rest:
        written.append(f"{'−' if math.copysign(1, part) < 0 else '+'} {plain(abs(part), places)}")
    return " ".join(written)
