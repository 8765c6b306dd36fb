"""Django looks for models here; they live with their sub-areas."""

from .documents.models import Paper
from .jobs.models import HistoryEntry, Job, JobOperation, Measurement, NumberSeries
from .money.models import DepositReminder, DepositRequest, Payment, Refund, StatementEntry, StatementFile
from .parts.models import (
    JobPart,
    OrderedFor,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    ReceiptLine,
    Reservation,
    StockLevel,
    StockMovement,
)
from .planning.models import Bay, ClosedDay, OpeningHours

__all__ = [
    "Bay",
    "ClosedDay",
    "DepositReminder",
    "DepositRequest",
    "HistoryEntry",
    "Job",
    "JobOperation",
    "JobPart",
    "Measurement",
    "NumberSeries",
    "OpeningHours",
    "OrderedFor",
    "Paper",
    "Payment",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "ReceiptLine",
    "Refund",
    "Reservation",
    "StatementEntry",
    "StatementFile",
    "StockLevel",
    "StockMovement",
]
