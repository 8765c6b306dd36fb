"""What is said, as values: pure Python, worded for a reader at the border and nowhere else."""

from .said import Said, Text, phrases, revived
from .sentences import MINUS, ROW, UNITS, Place, compose, filled, joined, rounded

__all__ = [
    "MINUS",
    "ROW",
    "UNITS",
    "Place",
    "Said",
    "Text",
    "compose",
    "filled",
    "joined",
    "phrases",
    "revived",
    "rounded",
]
