"""Parts lists, stock, reservations, purchase orders and receipts: the rows, from their files.

Quantities are in the item's own unit (each, m, l, g) and Decimal to three places; costs are without
tax. What was agreed is copied onto the rows, so the live catalogue may change under them.
"""

from .models_goods import GoodsNote
from .models_lines import JobPart
from .models_orders import OrderedFor, PurchaseLine, PurchaseOrder, Receipt, ReceiptLine
from .models_shortages import Lack, Shortage, ShortageMark, ShortageRun, WaitingJob
from .models_stock import Reservation, StockLevel, StockMovement

__all__ = [
    "GoodsNote",
    "JobPart",
    "Lack",
    "OrderedFor",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "ReceiptLine",
    "Reservation",
    "Shortage",
    "ShortageMark",
    "ShortageRun",
    "StockLevel",
    "StockMovement",
    "WaitingJob",
]
