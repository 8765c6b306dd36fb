"""Which options go together, why not, and the smallest change that helps. No Django here."""

from .change import Change
from .engine import Answer, Engine
from .explanation import Why
from .problem import Bring, Family, Problem, Rule, bare, brought, excludes, needs

__all__ = [
    "Answer",
    "Bring",
    "Change",
    "Engine",
    "Family",
    "Problem",
    "Rule",
    "Why",
    "bare",
    "brought",
    "excludes",
    "needs",
]
