"""What the schema found, in plain words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _
from pydantic import ValidationError

from .sources import Entry, Finding

PLAIN = {
    "missing": _("Something must stand here."),
    "extra_forbidden": _("There is no such field."),
    "float_parsing": _("{value} is not a number."),
    "float_type": _("{value} is not a number."),
    "int_parsing": _("{value} is not a whole number."),
    "int_type": _("{value} is not a whole number."),
    "int_from_float": _("{value} is not a whole number."),
    "int_parsing_size": _("{value} is too large."),
    "decimal_parsing": _("{value} is not a number."),
    "decimal_type": _("{value} is not a number."),
    "decimal_max_digits": _("{value} has too many digits."),
    "decimal_max_places": _("{value} has more decimal places than {decimal_places}."),
    "decimal_whole_digits": _("{value} has too many digits."),
    "finite_number": _("{value} is not a finite number."),
    "bool_parsing": _("{value} is neither yes nor no."),
    "bool_type": _("{value} is neither yes nor no."),
    "greater_than": _("{value} must be more than {gt}."),
    "greater_than_equal": _("{value} must be at least {ge}."),
    "less_than": _("{value} must be less than {lt}."),
    "less_than_equal": _("{value} must be at most {le}."),
    "literal_error": _("{value} is not one of {expected}."),
    "string_type": _("{value} is not text."),
    "string_too_long": _("The text is longer than {max_length} characters."),
    "string_too_short": _("Something must stand here."),
    "string_pattern_mismatch": _("{value} is not written as it should be: {hint}."),
    "list_type": _("{value} is not a list."),
    "too_short": _("At least {min_length} must stand here."),
    "too_long": _("At most {max_length} may stand here."),
    "value_error": "{error}",
    "tuple_type": _("{value} is not a pair radius:y."),
}

NUMBERS = frozenset({"float_parsing", "decimal_parsing"})
HINTS = {
    "hex": _("a colour such as #a1b2c3"),
    "accent_wanted_hex": _("a colour such as #a1b2c3"),
    "thread": _("a thread such as M14x1.5"),
    "seat": _("cone60, ball13 or flat"),
    "picture_part": _("lower-case letters and underscores"),
    "country": _("two capital letters, as DE"),
    "currency": _("three capital letters, as EUR"),
    "email": _("an address such as name@example.org"),
}
CODE_HINT = _("lower-case letters, digits, dot, plus and dash")


def listed(words: list[str]) -> str:
    """Return ``'a', 'b' or 'c'``."""
    quoted = [f"'{word}'" for word in words]
    return str(_(" or ")).join(part for part in (", ".join(quoted[:-1]), quoted[-1]) if part)


def as_sentence(text: str) -> str:
    """Return the text with a capital and a full stop."""
    return text[:1].upper() + text[1:].rstrip(".") + "."


def findings(
    entry: Entry, error: ValidationError, choices: Mapping[str, Sequence[str]] | None = None
) -> Iterator[Finding]:
    """Turn each schema error into a finding at its field; nested places count from 1.

    ``choices`` are the words that a field may hold, told where nothing stands in it.
    """
    seen = set()
    for one in error.errors(include_url=False):
        place = _place(one["loc"])
        if place not in seen:
            seen.add(place)
            message = plain(one["type"], one, place)
            if one["type"] == "missing" and (words := (choices or {}).get(place)):
                message = str(_("One of these must stand here: {expected}.")).format(
                    expected=listed([*words])
                )
            yield Finding(entry.file, entry.row, place, message)


def plain(kind: str, error: Any, place: str) -> str:
    """Return one error's message in plain words, or the schema's own when there is none."""
    name = next((part for part in reversed(place.split(".")) if not part.isdigit()), place)
    words = {
        "value": f"‘{str(error.get('input'))[:60]}’",
        "hint": HINTS.get(name, CODE_HINT),
        **{key: _short(value) for key, value in (error.get("ctx") or {}).items() if key != "value"},
    }
    pattern = PLAIN.get(kind)
    if kind in NUMBERS and re.fullmatch(r"-?\d+,\d+", str(error.get("input")).strip()):
        pattern = _("{value} has a comma: write a point before the decimals.")
    if pattern is None:
        return str(error["msg"])[:200] + "."
    try:
        return str(pattern).format(**words)
    except KeyError:
        return str(error["msg"])[:200] + "."


def _short(value: Any) -> Any:
    """Return a bound as people write it: 0, not 0.0."""
    return f"{value:g}" if isinstance(value, float) else value


def _place(location: tuple[int | str, ...]) -> str:
    """Return ``operation.2.stage`` for the second operation's stage, without the schema's inner names."""
    parts = []
    for part in location:
        if isinstance(part, int):
            parts.append(str(part + 1))
        elif part.isidentifier() and not part.startswith("constrained"):
            parts.append(part)
    return ".".join(parts)
