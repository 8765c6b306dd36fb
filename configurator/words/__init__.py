"""What is said, as values: pure Python, worded for a reader at the border and nowhere else."""

from .said import Said, Text, phrases, revived
from .sentences import Place, compose, filled, joined, rounded

__all__ = ["Place", "Said", "Text", "compose", "filled", "joined", "phrases", "revived", "rounded"]
