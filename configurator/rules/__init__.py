"""Which options go together, why not, and the smallest change that helps. Pure Python, no Django."""

from configurator.json_input import InputErrors

from .bringing import Bring, brought, holds
from .engine import Engine
from .linting import Finding, lint
from .model import Answer, Change, Family, Problem, Rule, Why, bare, excludes, needs
from .reading import problem_errors, read_problem

__all__ = [
    "Answer",
    "Bring",
    "Change",
    "Engine",
    "Family",
    "Finding",
    "InputErrors",
    "Problem",
    "Rule",
    "Why",
    "bare",
    "brought",
    "excludes",
    "holds",
    "lint",
    "needs",
    "problem_errors",
    "read_problem",
]
