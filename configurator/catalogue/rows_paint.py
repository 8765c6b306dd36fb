"""Rows of paint systems, their coats, and finishes."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import (
    Field,
)

from . import models as m
from .row_types import Code, Hours, Percent
from .rows_base import Row


class PaintSystemRow(Row):
    tables = (m.PaintSystem,)
    code: Code
    name: str
    surface: str
    max_temperature_c: Annotated[int, Field(gt=0, le=1200)] | None = None
    caution: Annotated[str, Field(max_length=1000)] = ""


class PaintLayerRow(Row):
    tables = (m.PaintLayer,)
    system: Code
    position: Annotated[int, Field(ge=1, le=20)]
    stage: str
    item: Code
    tinted: bool = False
    dry_film_um: Annotated[float, Field(gt=0, le=500)]
    volume_solids_pct: Percent
    transfer_efficiency_pct: Percent
    hands_on_h: Hours
    hands_on_h_per_m2: Hours = 0
    wait_h: Hours
    voc_subcategory: Literal["a", "b", "c", "d", "e"]
    voc_g_per_l: Annotated[float, Field(ge=0, le=1000)]
    voc_product: Literal["", "preparatory", "pre-cleaner", "wash-primer"] = ""
    refs = {"system": "paint_systems", "item": "items"}
    key_fields = ("system", "position")


class FinishRow(Row):
    tables = (m.Finish,)
    code: Code
    name: str
    role: str
    hex: str
    sheen: Literal["gloss", "satin", "matt"] = "gloss"
    paint_code: str = ""
    same_colour_as: Code | None = None
    retired: bool = False
    refs = {"same_colour_as": "finishes"}
