"""What is said, as values: pure Python, worded for a reader at the border and nowhere else."""

from .said import Said, Text, phrases, revived

__all__ = ["Said", "Text", "phrases", "revived"]
