"""What a row of each catalogue file may hold. Field names are the models' own.

A row declares what a file alone needs to know: how cells are read, what a field's values refer to, and
bounds narrower than storage and physics, which catch slips of the pen. The rest is taken from the tables it
fills and the fitment part it becomes (see `declared`).

Rows lie by subject in the files `rows_*`; they are imported from here.
"""

from .row_types import Code, Quantity
from .rows_base import Row
from .rows_items import CentringRingRow, FastenerRow, ItemRow, SpacerRow, SupplierRow, TyreRow, WheelRow
from .rows_looks import LookRow
from .rows_options import BringRow, FamilyRow, OptionRow, RuleRow
from .rows_paint import FinishRow, PaintLayerRow, PaintSystemRow
from .rows_vehicles import AxleRow, GenerationRow, MakerRow
from .rows_work import MaterialRow, OperationRow, RecipeRow
from .rows_workshop import WorkshopRow

__all__ = [
    "AxleRow",
    "BringRow",
    "CentringRingRow",
    "Code",
    "FamilyRow",
    "FastenerRow",
    "FinishRow",
    "GenerationRow",
    "ItemRow",
    "LookRow",
    "MakerRow",
    "MaterialRow",
    "OperationRow",
    "OptionRow",
    "PaintLayerRow",
    "PaintSystemRow",
    "Quantity",
    "RecipeRow",
    "Row",
    "RuleRow",
    "SpacerRow",
    "SupplierRow",
    "TyreRow",
    "WheelRow",
    "WorkshopRow",
]
