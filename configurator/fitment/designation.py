"""Tyre designations, read by the forms of UN R30, R54 and R75 (metric sizes).

Besides the plain form: `HL` or `XL` before the size, `ZR`, `RF`, `ZRF` and `RF` as construction, `C` and `CP`
after it, a speed symbol in brackets, a second service description, and a vehicle maker's own marks at the
end, which mean nothing here and are kept as `marks`.
"""

import re
from dataclasses import dataclass
from typing import Any

from .tables import load_kg, rim_diameter_mm, speed_kmh

_LONGEST = 80


class TyreDesignationError(ValueError):
    """A text that is not a tyre designation: `reason` in plain words, `position` counted from 0."""

    def __init__(self, reason: str, position: int) -> None:
        super().__init__(f"{reason} (at character {position + 1})")
        self.reason = reason
        self.position = position


@dataclass(frozen=True, kw_only=True)
class Tyre:
    """A tyre as its designation states it, with optional measured values that replace computed ones.

    `load_index` is for single fitment, `dual_load_index` for twin fitment. `speed_symbol` is None when only
    ZR stands there. `full_profile` tyres state no aspect ratio. `kind` names whose rules are read: UN R30 for
    a car's tyre, R54 for a commercial one, R75 for a motorcycle's. `section_width_mm` (on the wheel in
    question) and `overall_diameter_mm` are measured. `reference_pressure_bar` is marked for the highest load;
    `dual_spacing_mm` is the least distance of twins that the maker states.
    """

    designation: str
    width_mm: float
    aspect_pct: float
    rim_diameter_in: float
    construction: str = "R"
    zr: bool = False
    commercial: bool = False
    motorcycle: bool = False
    extra_load: bool = False
    high_load: bool = False
    camping: bool = False
    run_flat: bool = False
    snow: bool = False
    full_profile: bool = False
    marks: tuple[str, ...] = ()
    load_index: int | None = None
    dual_load_index: int | None = None
    speed_symbol: str | None = None
    section_width_mm: float | None = None
    overall_diameter_mm: float | None = None
    rim_min_in: float | None = None
    rim_max_in: float | None = None
    tolerance_mm: float | None = None
    reference_pressure_bar: float | None = None
    dual_spacing_mm: float | None = None

    @property
    def kind(self) -> str:
        """car, commercial or motorcycle."""
        return "motorcycle" if self.motorcycle else "commercial" if self.commercial else "car"


_SIZE = (
    ("width", re.compile(r"[0-9]{2,3}"), "a tyre begins with its section width in mm, such as 205"),
    ("aspect", re.compile(r"(?: */ *([0-9]{2,3}))?"), ""),
    (
        "construction",
        re.compile(r" *(ZRF|ZR|RF|R|-|B|D)(?![A-Z])"),
        "here the construction is expected: R, ZR, RF, B, D or a dash, and before it / and the aspect ratio",
    ),
    ("code", re.compile(r" *([0-9]{1,2})(?![0-9])"), "here the rim diameter code is expected, such as 16"),
    ("commercial", re.compile(r"(?: *(CP?)(?![A-Z0-9/]))?"), ""),
)
_SERVICE = re.compile(
    r"\(?([0-9]{1,3})(?: */ *([0-9]{1,3}))? *(?:([A-K][1-8]|[A-Z])(?![A-Z0-9])|\(([A-Z])\))\)?"
)
_ABOVE = re.compile(r"\((Y|V|W)\)")
_MARK = re.compile(r"(?:XL|HL|RFT?|EXTRA *LOAD|REINFORCED|M *[+.&] *S|M/C|TL|TT|TUBELESS|3PMSF)(?![A-Z0-9])")
_MAKERS = re.compile(r"(?:[A-Z*][A-Z0-9*+-]{0,5})(?= |$)")
_EXTRA_LOAD = ("XL", "RF", "EXTRALOAD", "REINFORCED")
_SNOW = re.compile(r"M *[+.&] *S|3PMSF")
_PREFIX = re.compile(r"(HL|XL) *(?=[0-9])")
_FOREIGN = re.compile(r"(LT|P|ST|T)(?=[0-9])")
_FULL_PROFILE_PCT = 82.0  # stands for none (195R14C): about what it is, never computed with


def parse_tyre(text: str) -> Tyre:
    """Read a designation such as `205/65R16C 107/105T` or `235/50 zr 18 101y xl`.

    Case and spaces do not matter. Raises TyreDesignationError with the reason and the position.
    """
    upper = _prepared(text)
    size, at = _read_size(upper)
    service, marks = _read_rest(upper, at)
    if size["prefix"]:
        marks.append(str(size["prefix"][1]))
    aspect = float(size["aspect"][1] or _FULL_PROFILE_PCT)
    _check_size(size, aspect)
    return Tyre(
        designation=" ".join(text.split()), **_size_fields(size, aspect), **_mark_fields(service, marks)
    )


_Parts = dict[str, Any]


def _size_fields(size: _Parts, aspect: float) -> dict[str, Any]:
    construction = size["construction"][1]
    return {
        "width_mm": float(size["width"][0]),
        "aspect_pct": aspect,
        "full_profile": size["aspect"][1] is None,
        "rim_diameter_in": float(size["code"][1]),
        "construction": "R" if "R" in construction else construction,
        "zr": construction.startswith("Z"),
        "run_flat": construction.endswith("F"),
        "commercial": bool(size["commercial"][1]),
        "camping": size["commercial"][1] == "CP",
    }


def _mark_fields(service: "_ServiceDescription | None", marks: list[str]) -> dict[str, Any]:
    single, dual, symbol = service or (None, None, None)
    short = {mark.replace(" ", "") for mark in marks}
    return {
        "motorcycle": "M/C" in short,
        "extra_load": bool(short.intersection(_EXTRA_LOAD)),
        "high_load": "HL" in short,
        "snow": any(_SNOW.fullmatch(mark) for mark in short),
        "marks": tuple(mark for mark in marks if not _MARK.fullmatch(mark)),
        "load_index": single,
        "dual_load_index": dual,
        "speed_symbol": symbol,
    }


def tyre_from_text(value: object) -> object:
    """Turn a text into a Tyre, for the border; refuse everything else in words."""
    if isinstance(value, Tyre):
        return value
    if not isinstance(value, str):
        raise ValueError("a tyre is given as its designation, a text such as 235/50R18 101H XL")
    return parse_tyre(value)


def _prepared(text: str) -> str:
    """Check the characters one by one, so that positions stay those of the text as given."""
    for position, character in enumerate(text):
        if not (character.isascii() and (character.isprintable() or character == "\t")):
            raise TyreDesignationError("this character has no place in a tyre designation", position)
    if len(text) > _LONGEST:
        raise TyreDesignationError(f"longer than {_LONGEST} characters", _LONGEST)
    if not text.strip():
        raise TyreDesignationError("no tyre designation given", 0)
    return text.upper().replace("\t", " ")


def _skip_spaces(text: str, at: int) -> int:
    while at < len(text) and text[at] == " ":
        at += 1
    return at


def _read_size(text: str) -> tuple[_Parts, int]:
    at = _skip_spaces(text, 0)
    prefix = _PREFIX.match(text, at)
    at = prefix.end() if prefix else at
    if foreign := _FOREIGN.match(text, at):
        raise TyreDesignationError(
            f"sizes that begin with {foreign[1]} are not read; use the metric form", at
        )
    parts: _Parts = {"prefix": prefix}
    for name, pattern, reason in _SIZE:
        found = pattern.match(text, at)
        if not found:
            raise TyreDesignationError(reason, _skip_spaces(text, at))
        parts[name], at = found, found.end()
    return parts, at


def _check_size(size: _Parts, aspect: float) -> None:
    width, code = size["width"], size["code"]
    if not 60 <= int(width[0]) <= 455 or int(width[0]) % 5:
        raise TyreDesignationError("a section width is 60 to 455 mm in steps of 5", width.start())
    if size["aspect"][1] and (not 20 <= aspect <= 100 or aspect % 5):
        raise TyreDesignationError("an aspect ratio is 20 to 100 in steps of 5", size["aspect"].start(1))
    if int(code[1]) not in rim_diameter_mm():
        raise TyreDesignationError("no such rim diameter code", code.start(1))


_ServiceDescription = tuple[int, int | None, str]


def _read_rest(text: str, at: int) -> tuple[_ServiceDescription | None, list[str]]:
    """Read service description and marks in any order after the size."""
    service: _ServiceDescription | None = None
    marks: list[str] = []
    while (at := _skip_spaces(text, at)) < len(text):
        if mark := _MARK.match(text, at):
            marks.append(mark[0])
            at = mark.end()
        elif found := _SERVICE.match(text, at):
            # A second description in brackets (unique point of UN R54) changes nothing at the first.
            service = service or _service(found)
            at = found.end()
        elif above := _ABOVE.match(text, at):
            # ZR with the symbol alone, in brackets: above the symbol's speed; the index is not stated.
            marks.append(above[0])
            at = above.end()
        elif service and (own := _MAKERS.match(text, at)):
            marks.append(own[0])
            at = own.end()
        else:
            raise TyreDesignationError("not a load index and speed symbol, nor a mark such as XL", at)
    return service, marks


def _service(found: re.Match[str]) -> _ServiceDescription:
    single, dual = int(found[1]), int(found[2]) if found[2] else None
    for group, index in ((1, single), (2, dual)):
        if index is not None and index not in load_kg():
            raise TyreDesignationError("no such load index", found.start(group))
    if dual is not None and dual > single:
        raise TyreDesignationError("the load index for twin fitment is above the single one", found.start(2))
    symbol, group = (found[3], 3) if found[3] else (found[4], 4)
    if symbol not in speed_kmh():
        raise TyreDesignationError("no such speed symbol", found.start(group))
    return single, dual, symbol
