"""What the rows of everything that is bought must agree on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from configurator.pictures.wheels import DESIGNS

from . import literals
from .known import Blame, Known


def _supplier_numbers(known: Known) -> dict[tuple[str, str], set[str]]:
    """Return the codes that go by each supplier's number."""
    found: dict[tuple[str, str], set[str]] = {}
    for supplier, number, code in known.numbered():
        if number:
            found.setdefault((supplier, number.casefold()), set()).add(code)
    return found


def item(row: Any, known: Known) -> Iterator[Blame]:
    """Two goods of one supplier never go by one number: what is ordered would be either."""
    if row.supplier_ref:
        codes = known.once("supplier_numbers", _supplier_numbers)
        for other in sorted(codes.get((row.supplier, row.supplier_ref.casefold()), set()) - {row.code}):
            yield (
                "supplier_ref",
                (
                    _("‘%(number)s’ is the number of ‘%(other)s’ too.")
                    % {"number": row.supplier_ref, "other": other}
                ),
            )


def wheel(row: Any, known: Known) -> Iterator[Blame]:
    """A wheel has a drawn design, and both hole count and circle or neither."""
    yield from item(row, known)
    if not literals.is_design(row.design):
        yield (
            "design",
            (
                _("There is no drawn wheel design ‘%(design)s’; there are: %(known)s.")
                % {"design": row.design, "known": ", ".join(sorted(DESIGNS))}
            ),
        )
    if (row.bolt_count is None) != (row.bolt_circle_mm is None):
        yield "bolt_circle_mm", _("Give both the number of holes and their circle, or neither.")


def tyre(row: Any, known: Known) -> Iterator[Blame]:
    """A tyre's designation must be one that can be read."""
    yield from item(row, known)
    wrong = literals.tyre_problem(row.designation)
    if wrong:
        yield "designation", wrong


def spacer(row: Any, known: Known) -> Iterator[Blame]:
    """Only a bolt-on spacer can change the bolt circle."""
    yield from item(row, known)
    if row.kind == "slip_on" and row.wheel_bolt_circle_mm not in (None, row.bolt_circle_mm):
        yield "wheel_bolt_circle_mm", _("A slip-on spacer cannot change the bolt circle.")


def fastener(row: Any, known: Known) -> Iterator[Blame]:
    """Bolts have a shank length, nuts have none."""
    yield from item(row, known)
    if row.kind == "bolt" and row.shank_mm is None:
        yield "shank_mm", _("A bolt needs its shank length.")
    if row.kind == "nut" and row.shank_mm is not None:
        yield "shank_mm", _("A nut has no shank.")


def ring(row: Any, known: Known) -> Iterator[Blame]:
    """A ring is a ring."""
    yield from item(row, known)
    if row.outer_mm <= row.inner_mm:
        yield "outer_mm", _("The outside must be larger than the inside.")
