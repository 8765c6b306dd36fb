"""Django looks for models here; they live with their sub-areas."""

from .accounts.models import StaffPreference
from .customers.models import Customer, CustomerJob, Fact, Merge, NotSame
from .documents.models import Paper
from .jobs.models import Job, JobOperation, JobWords, Measurement, NumberSeries
from .jobs.models_bookin import BookIn, BookInPhoto, ConditionMark
from .jobs.models_history import HistoryEntry
from .jobs.models_lines import Entry, JobLine, Proposal
from .messages.models import Message, OutgoingMail, Reminder
from .messages.models_news import News, NewsSetting
from .money.models import (
    BillingAddress,
    CsvLayout,
    DepositReminder,
    DepositRequest,
    Invoice,
    Ledger,
    Payment,
    Reduction,
    Refund,
    Settlement,
    StatementDraft,
    StatementEntry,
    StatementFile,
)
from .opening.models import SettingChange, SiteState
from .parts.correspondence import OrderAnswer, OrderMail
from .parts.models import (
    GoodsNote,
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
from .parts.models_replacing import Replacement
from .planning.models import (
    Absence,
    Bay,
    BrokenPromise,
    ClosedDay,
    DateWish,
    OpeningHours,
    Person,
    PersonHours,
    PlanRules,
    PlanRun,
)
from .range.models import PriceLayout, PriceLine, PriceList
from .tracking.models import CalendarAddress, CalendarEntry, LinkRequest, NewAddress
from .vehicles.models import AxleReading
from .wanted.models import RequestEntry, RequestMail, RequestPhoto, VehicleRequest

__all__ = [
    "Absence",
    "AxleReading",
    "Bay",
    "BillingAddress",
    "BookIn",
    "BookInPhoto",
    "BrokenPromise",
    "CalendarAddress",
    "CalendarEntry",
    "ClosedDay",
    "ConditionMark",
    "CsvLayout",
    "Customer",
    "CustomerJob",
    "DateWish",
    "DepositReminder",
    "DepositRequest",
    "Entry",
    "Fact",
    "GoodsNote",
    "HistoryEntry",
    "Invoice",
    "Job",
    "JobLine",
    "JobOperation",
    "JobPart",
    "JobWords",
    "Ledger",
    "LinkRequest",
    "Measurement",
    "Merge",
    "Message",
    "NewAddress",
    "News",
    "NewsSetting",
    "NotSame",
    "NumberSeries",
    "OpeningHours",
    "OrderAnswer",
    "OrderMail",
    "OrderedFor",
    "OutgoingMail",
    "Paper",
    "Payment",
    "Person",
    "PersonHours",
    "PlanRules",
    "PlanRun",
    "PriceLayout",
    "PriceLine",
    "PriceList",
    "Proposal",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "ReceiptLine",
    "Reduction",
    "Refund",
    "Reminder",
    "Replacement",
    "RequestEntry",
    "RequestMail",
    "RequestPhoto",
    "Reservation",
    "SettingChange",
    "Settlement",
    "SiteState",
    "StaffPreference",
    "StatementDraft",
    "StatementEntry",
    "StatementFile",
    "StockLevel",
    "StockMovement",
    "VehicleRequest",
]
