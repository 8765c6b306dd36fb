"""Django looks for models here; they live with their sub-areas."""

from .documents.models import Paper
from .jobs.models import HistoryEntry, Job, JobOperation, Measurement, NumberSeries
from .messages.models import Message, OutgoingMail, Reminder
from .money.models import (
    CsvLayout,
    DepositReminder,
    DepositRequest,
    Ledger,
    Payment,
    Reduction,
    Refund,
    Settlement,
    StatementDraft,
    StatementEntry,
    StatementFile,
)
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
from .tracking.models import LinkRequest

__all__ = [
    "Bay",
    "ClosedDay",
    "CsvLayout",
    "DepositReminder",
    "DepositRequest",
    "HistoryEntry",
    "Job",
    "JobOperation",
    "JobPart",
    "Ledger",
    "LinkRequest",
    "Measurement",
    "Message",
    "NumberSeries",
    "OpeningHours",
    "OrderedFor",
    "OutgoingMail",
    "Paper",
    "Payment",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "ReceiptLine",
    "Reduction",
    "Refund",
    "Reminder",
    "Reservation",
    "Settlement",
    "StatementDraft",
    "StatementEntry",
    "StatementFile",
    "StockLevel",
    "StockMovement",
]
