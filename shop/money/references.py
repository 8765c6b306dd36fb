"""ISO 11649 creditor references: made for a job, and found again in whatever a payer typed."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from stdnum.iso7064 import mod_97_10

OWN_MARK = "KL"
SHORTEST, LONGEST = 8, 11
_BODY = re.compile(f"{OWN_MARK}[0-9]{{6,9}}")
_SHAPE = re.compile(r"RF[0-9]{2}[0-9A-Z]{1,21}")


def make_reference(job_id: int) -> str:
    """Return the job's reference, such as ``RF58KL000042``: check digits by ISO 7064 MOD 97-10."""
    body = f"{OWN_MARK}{job_id:06d}"
    return f"RF{mod_97_10.calc_check_digits(f'{body}RF')}{body}"


def is_valid_reference(text: str) -> bool:
    """Tell whether ``text`` is a creditor reference: prefix, length, characters and check digits.

    Spaces and lower case are allowed, other punctuation is not part of a reference.
    """
    reference = text.replace(" ", "").upper()
    return bool(_SHAPE.fullmatch(reference)) and mod_97_10.is_valid(reference[4:] + reference[:4])


def in_fours(number: str) -> str:
    """Return a reference or IBAN in groups of four, as ISO 11649 and ISO 13616 ask for on paper."""
    plain = number.replace(" ", "")
    return " ".join(plain[i : i + 4] for i in range(0, len(plain), 4))


@dataclass(frozen=True)
class _Run:
    """A text without what is no letter or digit, and where each character stood."""

    chars: str
    places: tuple[int, ...]

    def runs_on(self, end: int) -> bool:
        """Whether a digit follows ``end`` without anything between: the number is longer than that."""
        return (
            end < len(self.chars)
            and self.chars[end].isdigit()
            and self.places[end] == self.places[end - 1] + 1
        )


def _run(text: str) -> _Run:
    # Only plain letters and digits: upper() can make several characters of one, which would move the rest.
    kept = [(i, char.upper()) for i, char in enumerate(text) if char.isascii() and char.isalnum()]
    return _Run("".join(char for _, char in kept), tuple(i for i, _ in kept))


def find_references(text: str, known: Collection[str]) -> list[str]:
    """Return every known reference that occurs in ``text``, in order, each once.

    Case, spaces and punctuation do not matter: banks fold, wrap and cut what payers type. A reference
    that a digit follows at once is left out, since it may be another, longer one.
    """
    run = _run(text)
    wanted = set(known)
    lengths = sorted({len(reference) for reference in wanted}, reverse=True)
    found: dict[str, None] = {}
    for match in re.finditer("RF", run.chars):
        start = match.start()
        hit = next(
            (run.chars[start : start + n] for n in lengths if run.chars[start : start + n] in wanted), ""
        )
        if hit and not run.runs_on(start + len(hit)):
            found[hit] = None
    return list(found)


def nearly_named(text: str, known: Iterable[str]) -> list[str]:
    """Return the known references that ``text`` names but for one slip of the pen.

    A slip is one character wrong, missing, too many, or two side by side changed round. Such a
    reference could as well be meant for another job, so a person has to look.
    """
    chars = _run(text).chars
    starts = {
        match.start() - back
        for back, mark in ((0, "RF"), (4, OWN_MARK))
        for match in re.finditer(mark, chars)
    }
    windows = {chars[max(0, start) : start + 26] for start in starts}
    return [reference for reference in known if any(_one_slip(window, reference) for window in windows)]


def _one_slip(window: str, reference: str) -> bool:
    """Whether ``window`` starts with ``reference`` but for one slip."""
    same = next((i for i, (a, b) in enumerate(zip(window, reference, strict=False)) if a != b), None)
    if same is None:
        return len(window) >= len(reference) - 1
    rest, wanted = window[same:], reference[same:]
    return (
        rest[1:].startswith(wanted[1:])
        or rest[1:].startswith(wanted)
        or rest.startswith((wanted[1:], wanted[1::-1] + wanted[2:]))
    )


def leads(text: str) -> set[str]:
    """Return which references a text may name, but for one slip: what to look for among the known ones.

    Behind right check digits the number may have a slip, and of all numbers one slip away about one in a
    hundred has those digits; a right number behind the mark makes up for a slip anywhere before it.
    """
    chars = _run(text).chars
    numbers = re.findall(f"(?={OWN_MARK}([0-9]{{6,9}}))", chars)
    found = {
        make_reference(int(number[:length])) for number in numbers for length in range(6, len(number) + 1)
    }
    for match in re.finditer("RF([0-9]{2})", chars):
        digits, behind = match.group(1), chars[match.end() : match.end() + LONGEST + 1]
        found |= {f"RF{digits}{body}" for body in _one_slip_away(behind) if _checks(digits, body)}
    return found


def _one_slip_away(chars: str) -> set[str]:
    """Return the marks with numbers that the beginning of ``chars`` is, or is but for one slip."""
    found: set[str] = set()
    for length in range(SHORTEST, LONGEST + 1):
        same, less, more = chars[:length], chars[: length - 1], chars[: length + 1]
        found.add(same)
        for i in range(length):
            found.update(f"{same[:i]}{char}{same[i + 1 :]}" for char in _fits(i))
            found.update(f"{less[:i]}{char}{less[i:]}" for char in _fits(i))
            found.add(more[:i] + more[i + 1 :])
            found.add(same[:i] + same[i + 1 : i + 2] + same[i : i + 1] + same[i + 2 :])
    return {body for body in found if _BODY.fullmatch(body)}


def _fits(place: int) -> str:
    return OWN_MARK[place] if place < len(OWN_MARK) else "0123456789"


def _checks(digits: str, body: str) -> bool:
    return mod_97_10.is_valid(f"{body}RF{digits}")
