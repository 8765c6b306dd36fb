"""Rows of families, options and rules."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import (
    Field,
    StringConstraints,
)

from . import models as m
from .row_types import Code, Codes, Count, Quantity, Words
from .rows_base import Row


class FamilyRow(Row):
    tables = (m.Family,)
    code: Code
    name: str
    kind: str
    limit: Annotated[int, Field(ge=1, le=100)] | None = None
    section: Literal["vehicle", "accent", "panels", "removals", "care"]
    position: Count = 0


class OptionRow(Row):
    tables = (m.Option,)
    code: Code
    family: Code
    name: str
    summary: str = ""
    kind: str
    item: Code | None = None
    item_quantity: Annotated[int, Field(ge=1, le=100)] = 1
    recipe: Code | None = None
    generations: Codes = []
    finish_choices: Codes = []
    paint_system: Code | None = None
    paint_area_m2: Annotated[float, Field(ge=0, le=50)] = 0
    bond_length_m: Annotated[float, Field(ge=0, le=100)] = 0
    picture_part: (
        Annotated[str, StringConstraints(pattern=r"^[a-z][a-z_]*$", max_length=40)] | Literal[""]
    ) = ""
    tags: Words = []
    position: Count = 0
    retired: bool = False
    refs = {"family": "families", "item": "items", "recipe": "recipes", "paint_system": "paint_systems"}
    many = {"generations": "generations"}


class BringRow(Row):
    item: Code
    quantity: Quantity
    basis: Literal["job", "choice", "wheel"] = "job"
    refs = {"item": "items"}
    key_fields = ()


class RuleRow(Row):
    tables = (m.Rule,)
    code: Code
    kind: str
    if_all: Annotated[
        list[Annotated[str, Field(min_length=1, max_length=100)]], Field(min_length=1, max_length=12)
    ]
    then_any: Annotated[list[Annotated[str, Field(min_length=1, max_length=100)]], Field(max_length=30)] = []
    brings: Annotated[list[BringRow], Field(max_length=12)] = []
    at_cost_of: Literal["customer", "workshop"] = "customer"
    reason: str
    generations: Codes = []
    active: bool = True
    many = {"generations": "generations"}
    nested = ("brings",)
