"""What an update in place sends: the pieces of the page that look different from what the browser shows.

A piece is one place that a choice may change. What it is drawn from is put into a short mark; the browser
says the marks of what it shows (``seen``), and a piece whose mark is among them is neither drawn nor sent.
"""

from __future__ import annotations

from base64 import urlsafe_b64encode
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import blake2b
from typing import Any

from django.utils.translation import get_language

from configurator.builds.selection import WAYS
from configurator.pictures.vocabulary import VIEWS

MARK_BYTES, MARK_LENGTH = 6, 8
"""48 bits: among two hundred marks of a page a change goes unseen once in a million million updates."""


@dataclass(frozen=True)
class Piece:
    """One place: its kind and name, and what it is drawn from."""

    kind: str
    name: str
    drawn_from: Any


@dataclass
class Pieces:
    """What to send, by kind: names of pieces in the page's order; ``seen`` are the marks of them all."""

    fresh: dict[str, list[str]] = field(default_factory=dict)
    seen: str = ""


def pieces(context: Mapping[str, Any], shown: str | None, units: str) -> Pieces:
    """Return the pieces to send to a browser that shows those of ``shown``; all where it does not say.

    ``units`` are those the reader measures in: they and the language are part of every mark.
    """
    salt = f"{get_language()} {units} {context['catalogue_version']}"
    known = set(_marks(shown or ""))
    found, marks = Pieces(), []
    found_of = (_of_evaluation, _of_sections, _beside_choices, _of_sending, _told_beside)
    for piece in (piece for of in found_of for piece in of(context)):
        mark = _mark(f"{salt}|{piece.kind}|{piece.name}|{piece.drawn_from!r}")
        marks.append(mark)
        if mark not in known:
            found.fresh.setdefault(piece.kind, []).append(piece.name)
    found.seen = "".join(marks)
    return found


def _mark(text: str) -> str:
    return urlsafe_b64encode(blake2b(text.encode(), digest_size=MARK_BYTES).digest()).decode()


def _marks(shown: str) -> Iterator[str]:
    return (shown[at : at + MARK_LENGTH] for at in range(0, len(shown), MARK_LENGTH))


def _of_evaluation(context: Mapping[str, Any]) -> Iterator[Piece]:
    """Yield what tells of the build as a whole."""
    evaluation, standing = context["evaluation"], context["standing"]
    price, work, clashes = evaluation.price, evaluation.work, context["clashes"]
    fits = [(position, fit.verdict, fit.headline, _no(fit)) for position, fit in context["fits"] if fit]
    nearest = context.get("nearest")
    drawn_from = {
        "accent": (evaluation.accent, nearest and nearest.hex, context.get("nearest_gap")),
        "warnings": evaluation.accent and evaluation.accent.warnings,
        "why": (standing, context["standing_tone"], evaluation.problems, fits, clashes),
        "agreement": price and (price.total, price.tax, price.tax_rate_pct, price.deposit, price.deposit_why),
        "brought": context["brought"],
        "materials": context["materials"],
        "steps": work and [(step.name, step.hands_on_h, step.wait_h) for step in work.steps],
        "cautions": evaluation.cautions,
        "clashes": (clashes, context["loose_problems"]),
        "price": price and (price.total, price.tax, context["job_line"], context["chosen"]),
        "strip": (standing, price and price.total, work and work.bay_days),
        "time": work and (work.bay_days, work.hands_on_h, work.critical_h),
        "vin": context["vin_warning"],
        "chosen": context["chosen"],
        "looks": (context.get("looks_drawn_from"), context.get("may_go_back")),
    }
    for name in context["live"]:
        yield Piece("live", name, drawn_from[name])
    for view in VIEWS:
        yield Piece("picture", view, str(context[f"picture_{view}"]))
    for position, fit in context["fits"]:
        yield Piece("fit", position, fit and (fit.verdict, fit.headline, _no(fit)))
        yield Piece("table", position, fit and (context["section_key"], fit.headline, fit.checks))


def _told_beside(context: Mapping[str, Any]) -> Iterator[Piece]:
    """Yield whether two tabs are asked between: what is told otherwise stands until the next choice."""
    yield Piece("told", "notes", context["disputed"])


def _no(fit: Any) -> str:
    """Return the first reason against a fit, which its line tells."""
    return next((row.message for row in fit.checks if row.verdict == "no"), "")


def _of_sections(context: Mapping[str, Any]) -> Iterator[Piece]:
    for section in context["sections"]:
        if section.key != "photos":
            yield Piece("line", section.key, section.line)
        yield Piece("tick", section.key, section.chosen)


def _beside_choices(context: Mapping[str, Any]) -> Iterator[Piece]:
    for token, mark in context["marks"].items():
        yield Piece("state", token, mark)
    for token in priced_tokens(context):
        yield Piece("price", token, context["prices"].get(token, ""))


def _of_sending(context: Mapping[str, Any]) -> Iterator[Piece]:
    """Yield what stands in the way of sending: it stays, and shrinks, until it is put right or sent anew."""
    told: list[Any] = []
    if context["judged"]:
        told = [(name, list(errors)) for form in context["forms"] for name, errors in form.errors.items()]
        told += [context["standing"], context["clashes"]] if not context["evaluation"].sendable else []
    yield Piece("problems", "send", told)


def priced_tokens(context: Mapping[str, Any]) -> Iterator[str]:
    """Yield what has its price beside it and no state of its own: ways to a colour, parts on the lists."""
    yield from (f"way={way}" for way in WAYS)
    for one in context["part_lists"].values():
        yield from (entry.card.token for entry in (*one.kept, *one.entries))
