"""Vehicle identification numbers: ISO 3779 shape, and the check digit of 49 CFR 565.15.

The check digit binds for North American maker codes only; elsewhere position 9 may hold anything, a filler
letter for instance. So it is looked at only there, and one that does not match is a warning, never a refusal.
"""

from __future__ import annotations

from dataclasses import dataclass

from .sentences import say

LENGTH = 17
NORTH_AMERICA = "12345"
"""First characters of the makers whose check digit must match: ISO 3780 regions 1 to 5 (from memory)."""
_VALUES = {str(digit): digit for digit in range(10)} | dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", [*range(1, 9), *range(1, 6), 7, 9, *range(2, 10)], strict=True)
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


@dataclass(frozen=True)
class VinResult:
    """A cleaned VIN and what to tell about it; ``ok`` means that nothing is odd."""

    vin: str
    warning: str = ""

    @property
    def ok(self) -> bool:
        """Whether there is nothing to warn of."""
        return not self.warning


def check_digit(vin: str) -> str:
    """Return the digit (or X for ten) that position 9 should hold.

    Raises ``KeyError`` for a character that no VIN may hold.
    """
    rest = sum(_VALUES[letter] * weight for letter, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return "X" if rest == 10 else str(rest)


def check_vin(text: str) -> VinResult:
    """Clean what was typed and warn of what looks mistyped."""
    vin = "".join(text.split()).replace("-", "").upper()
    if len(vin) != LENGTH:
        return VinResult(vin, say("vin_length", wanted_count=LENGTH, given_count=len(vin)))
    wrong = sorted({letter for letter in vin if letter not in _VALUES})
    if wrong:
        return VinResult(vin, say("vin_letters", letters=wrong))
    if vin[0] in NORTH_AMERICA and vin[8] != check_digit(vin):
        return VinResult(vin, say("vin_digit"))
    return VinResult(vin)
