"""What is said, as values: pure Python, worded for a reader at the border and nowhere else."""

from .said import Said, Text, phrases, revived
from .sentences import MONEY, ROW, compose, is_number, joined, kind_of, said

__all__ = [
    "MONEY",
    "ROW",
    "Said",
    "Text",
    "compose",
    "is_number",
    "joined",
    "kind_of",
    "phrases",
    "revived",
    "said",
]
