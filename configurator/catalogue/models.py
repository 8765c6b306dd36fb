"""What the workshop knows: vehicles, parts, finishes, options, rules and recipes.

Lengths are millimetres, masses kilograms, rim sizes inches (the trade's own unit for rims), money is
Decimal in the workshop's currency. A measured field left empty means *unknown* and is never a pass.

The tables lie by subject in the files `models_*`; they are imported from here.
"""

from .models_fields import CODE, CODE_PATTERN, HEX
from .models_items import Item, Supplier
from .models_looks import ReadyLook
from .models_options import Family, Option, Rule
from .models_paint import Finish, PaintLayer, PaintSystem
from .models_parts import CentringRing, Fastener, Spacer, Tyre, Wheel
from .models_record import CatalogueText, CatalogueVersion
from .models_vehicles import Axle, Generation, Maker
from .models_work import STAGES, Material, Operation, Recipe
from .models_workshop import Workshop

__all__ = [
    "CODE",
    "CODE_PATTERN",
    "HEX",
    "STAGES",
    "Axle",
    "CatalogueText",
    "CatalogueVersion",
    "CentringRing",
    "Family",
    "Fastener",
    "Finish",
    "Generation",
    "Item",
    "Maker",
    "Material",
    "Operation",
    "Option",
    "PaintLayer",
    "PaintSystem",
    "ReadyLook",
    "Recipe",
    "Rule",
    "Spacer",
    "Supplier",
    "Tyre",
    "Wheel",
    "Workshop",
]
