"""How cells of catalogue files are read: bounds that catch slips of the pen, lists and pairs."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import (
    BeforeValidator,
    Field,
    StringConstraints,
)

from .models import CODE_PATTERN


def _words(value: Any) -> Any:
    """Split a cell of words; TOML gives a list already."""
    return value.split() if isinstance(value, str) else value


def _pairs(value: Any) -> Any:
    """Split ``178:-35 140:20`` into [radius, y] pairs."""
    if not isinstance(value, str):
        return value
    return [tuple(pair.split(":")) for pair in value.split()]


Code = Annotated[str, StringConstraints(pattern=CODE_PATTERN, max_length=60)]
Codes = Annotated[list[Code], BeforeValidator(_words)]
Word = Annotated[str, StringConstraints(pattern=CODE_PATTERN, max_length=40)]
Words = Annotated[list[Word], BeforeValidator(_words)]
Radius = Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)]
Level = Annotated[float, Field(ge=-400, le=400, allow_inf_nan=False)]
Profile = Annotated[list[tuple[Radius, Level]], BeforeValidator(_pairs), Field(min_length=1, max_length=40)]
Kilograms = Annotated[float, Field(gt=0, le=10000, allow_inf_nan=False)]
Percent = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
Hours = Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
Amount = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Days = Annotated[int, Field(ge=0, le=365)]
Count = Annotated[int, Field(ge=0, le=1000)]
Holes = Annotated[int, Field(ge=3, le=12)]
Money = Annotated[
    Decimal, Field(ge=0, max_digits=10, decimal_places=4, allow_inf_nan=False, lt=Decimal(1000000))
]
Quantity = Annotated[Decimal, Field(gt=0, max_digits=10, decimal_places=4, allow_inf_nan=False)]
Thread = Annotated[str, StringConstraints(pattern=r"^M\d{1,2}(\.\d)?(x\d(\.\d{1,2})?)?$", max_length=12)]
Seat = Annotated[str, StringConstraints(pattern=r"^(cone\d{2}|ball\d{2}|flat)$", max_length=12)]
PropertyClass = Literal["8.8", "10.9", "12.9", "8", "10", "12"]


Endpoint = Annotated[str, StringConstraints(pattern=r"^([0-9]{4}:[^\s:][^\s]*)?$", max_length=60)]
"""An electronic address for orders: scheme of the EAS code list, colon, identifier."""
