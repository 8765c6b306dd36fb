"""Rows of recipes with their operations and materials."""

from __future__ import annotations

from typing import Annotated

from pydantic import (
    Field,
)

from . import models as m
from .row_types import Code, Hours, Quantity
from .rows_base import Row


class OperationRow(Row):
    tables = (m.Operation,)
    stage: str
    name: str
    hands_on_h: Hours = 0
    wait_h: Hours = 0
    resource: str = "bay"
    share_key: str = ""
    paints: bool = False
    caution: Annotated[str, Field(max_length=1000)] = ""
    key_fields = ()


class MaterialRow(Row):
    tables = (m.Material,)
    item: Code
    basis: str
    quantity: Quantity
    note: str = ""
    refs = {"item": "items"}
    key_fields = ()


class RecipeRow(Row):
    tables = (m.Recipe,)
    code: Code
    name: str
    covers: str = "option"
    retired: bool = False
    operation: Annotated[list[OperationRow], Field(min_length=1, max_length=60)]
    material: Annotated[list[MaterialRow], Field(max_length=60)] = []
    nested = ("operation", "material")
