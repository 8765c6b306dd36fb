"""What other parts of the shop ask of parts."""

from .listing import make_parts_list
from .ordering import plan_orders
from .placing import Chosen, NothingToOrderError, OrderError, place_order
from .progress import advance, look_at_all, missing_parts, shortages
from .receiving import ReceiptError, close_line, receive
from .stock import StockError, count, free_stock, issue, release, reserve

__all__ = [
    "Chosen",
    "NothingToOrderError",
    "OrderError",
    "ReceiptError",
    "StockError",
    "advance",
    "close_line",
    "count",
    "free_stock",
    "issue",
    "look_at_all",
    "make_parts_list",
    "missing_parts",
    "place_order",
    "plan_orders",
    "receive",
    "release",
    "reserve",
    "shortages",
]
