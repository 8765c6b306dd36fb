"""What a ready-made look must agree on with the rest of the catalogue.

Only what could never stand is refused: codes that name nothing. What is retired, or goes together no longer,
keeps a look from being offered, and never keeps a catalogue from going live.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from . import words
from .known import Blame, Known
from .literals import PART_KINDS, POSITIONS


def look(row: Any, known: Known) -> Iterator[Blame]:
    """A look names what there is, retired or not; a retired look is not judged."""
    if row.retired:
        return
    for name, place, code in _named(row):
        if code and known.get(place, code) is None:
            said = {"code": code, "kind": words.PLURAL[place]}
            yield name, _("‘%(code)s’ is not among the %(kind)s.") % said
    for code in row.options:
        option = known.get("options", code)
        if option is not None and option.kind == "fact":
            yield "options", _("‘%(code)s’ is a fact of the vehicle: a look states none.") % {"code": code}
    for code in (one.partition(":")[0] for one in row.finishes):
        if code not in row.options:
            yield "finishes", _("‘%(code)s’ is not among what the look chooses.") % {"code": code}
    if row.accent_wanted_hex and not row.accent:
        yield "accent", _("A colour of its own needs the paint nearest to it.")


def _named(row: Any) -> Iterator[tuple[str, str, str]]:
    """Yield the field, the kind and the code of everything that a look names."""
    for code in row.options:
        yield "options", "options", code
    for name in ("body_finish", "accent"):
        yield name, "finishes", getattr(row, name)
    for position in POSITIONS:
        for kind, place in PART_KINDS.items():
            yield f"{position}_{kind}", place, getattr(row, f"{position}_{kind}")
