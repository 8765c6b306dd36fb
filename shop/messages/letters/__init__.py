"""What each mail says: a function a mail, registered by its kind, in the file of its part of a job's life."""

from . import agreeing, changing, paying, working
from .letter import LETTERS, Deposit, Letter, Occasion
from .working import recheck_words

__all__ = [
    "LETTERS",
    "Deposit",
    "Letter",
    "Occasion",
    "agreeing",
    "changing",
    "paying",
    "recheck_words",
    "working",
]
