"""The written forms of seats, threads and property classes."""

import re
from functools import lru_cache

from .tables import inch_threads, proof_stresses

_SEAT = re.compile(r"(cone|ball)(?:_?r)?([0-9]{1,3}(?:\.[0-9])?)|(flat)", re.ASCII)
_THREAD = re.compile(r"M([0-9]{1,2})(?:x([0-9](?:\.[0-9]{1,2})?))?", re.ASCII)
_INCH_THREAD = re.compile(r"([0-9]{1,2}/[0-9]{1,2})-([0-9]{2})(?: ?UNF)?", re.ASCII)
_COARSE_PITCH = {6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3.0}
_SHAPE_CODE = {"cone": 1000.0, "ball": 2000.0, "flat": 3000.0}


def split_seat(text: str) -> tuple[str, float]:
    """Return a seat's shape and its angle in degrees (cone) or radius in mm (ball), 0 for a flat one.

    Raises ValueError for anything but `cone60`, `ball13` or `flat`.
    """
    found = _SEAT.fullmatch(text.strip().lower())
    if not found:
        raise ValueError("a seat is written cone60 (angle), ball13 (radius in mm) or flat")
    return (found[3], 0.0) if found[3] else (found[1], float(found[2]))


@lru_cache(maxsize=256)
def seat_code(text: str | None) -> float:
    """Return one number per seat, so that equal seats compare equal in arrays; NaN for an unknown one."""
    if text is None:
        return float("nan")
    shape, size = split_seat(text)
    return _SHAPE_CODE[shape] + size


@lru_cache(maxsize=256)
def split_thread(text: str) -> tuple[float, float]:
    """Return a thread's diameter and pitch in mm; a bare `M14` is the coarse pitch of ISO 261.

    Unified fine threads are written `1/2-20 UNF` (ASME B1.1). Raises ValueError for other threads.
    """
    if inch := _INCH_THREAD.fullmatch(text.strip().upper()):
        size = inch_threads().get(f"{inch[1]}-{inch[2]}")
        if size:
            return size[0], size[1]
    found = _THREAD.fullmatch(text.strip().upper().replace("X", "x").replace("×", "x"))
    pitch = found and (float(found[2]) if found[2] else _COARSE_PITCH.get(int(found[1])))
    if not found or not pitch or float(found[1]) < 4 * pitch:
        raise ValueError("a thread is written M14x1.5 (metric, diameter by pitch in mm) or 1/2-20 UNF")
    return float(found[1]), pitch


def _checked(value: object, reader: object) -> object:
    if isinstance(value, str):
        reader(value)  # type: ignore[operator]
    return value


def check_seat(value: object) -> object:
    """Refuse a text that is not a seat; other types are refused by the field itself."""
    return _checked(value, split_seat)


def check_thread(value: object) -> object:
    """Refuse a text that is not a thread."""
    return _checked(value, split_thread)


def check_property_class(value: object) -> object:
    """Refuse a property class that ISO 898-1 has no proof stress for."""
    if isinstance(value, str) and value not in proof_stresses():
        raise ValueError(f"a property class is one of {', '.join(proof_stresses())}")
    return value
