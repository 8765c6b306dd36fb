"""Where a build stands, as one word: the worst of fit, rules and what is still to be said."""

from __future__ import annotations

from .evaluation import Evaluation

EMPTY, FITS, MEASURE, UNKNOWN, ASKS, NO, CLASHES, WRONG = (
    "empty",
    "fits",
    "measure",
    "unknown",
    "asks",
    "no",
    "clashes",
    "wrong",
)
STANDINGS = (EMPTY, FITS, MEASURE, UNKNOWN, ASKS, NO, CLASHES, WRONG)
"""Worst last."""
TONES = {
    EMPTY: "info",
    FITS: "ok",
    MEASURE: "warn",
    UNKNOWN: "warn",
    ASKS: "warn",
    NO: "stop",
    CLASHES: "stop",
    WRONG: "stop",
}


def standing(evaluation: Evaluation) -> str:
    """Return the worst that can be said of the build; one with nothing chosen is ``empty``."""
    found = [evaluation.verdict if evaluation.price or evaluation.fits else EMPTY]
    if evaluation.conflicts:
        found.append(CLASHES)
    found += [ASKS if problem.asks else WRONG for problem in evaluation.problems]
    return max(found, key=STANDINGS.index)
