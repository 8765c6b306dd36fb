"""Rows of ready-made looks."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from . import models as m
from .row_types import Code, Codes, Count
from .rows_base import Row

MaybeCode = Code | Literal[""]
NAMED = r"^[a-z0-9][a-z0-9.+-]*:[a-z0-9][a-z0-9.+-]*$"


def _words(value: object) -> object:
    return value.split() if isinstance(value, str) else value


Finishes = Annotated[
    list[Annotated[str, StringConstraints(pattern=NAMED, max_length=121)]], BeforeValidator(_words)
]


class LookRow(Row):
    tables = (m.ReadyLook,)
    code: Code
    generation: Code
    name: Annotated[str, Field(min_length=1)]
    summary: str = ""
    position: Count = 0
    body_finish: MaybeCode = ""
    accent: MaybeCode = ""
    accent_wanted_hex: str = ""
    accent_way: str = "nearest"
    options: Annotated[Codes, Field(max_length=200)] = []
    finishes: Annotated[Finishes, Field(max_length=200)] = []
    front_wheel: MaybeCode = ""
    front_tyre: MaybeCode = ""
    front_spacer: MaybeCode = ""
    rear_wheel: MaybeCode = ""
    rear_tyre: MaybeCode = ""
    rear_spacer: MaybeCode = ""
    retired: bool = False
    refs = {"generation": "generations"}
