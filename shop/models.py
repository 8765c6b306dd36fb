"""Django looks for models here; they live with their sub-areas."""

from .jobs.models import HistoryEntry, Job, JobOperation, Measurement, NumberSeries
from .planning.models import Bay, ClosedDay, OpeningHours

__all__ = [
    "Bay",
    "ClosedDay",
    "HistoryEntry",
    "Job",
    "JobOperation",
    "Measurement",
    "NumberSeries",
    "OpeningHours",
]
