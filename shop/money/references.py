"""ISO 11649 creditor references: made for a job, and found again in whatever a payer typed."""

from __future__ import annotations

import re
from collections.abc import Collection

from stdnum.iso7064 import mod_97_10

OWN_MARK = "KL"
_SHAPE = re.compile(r"RF[0-9]{2}[0-9A-Z]{1,21}")
_NOT_ALPHANUMERIC = re.compile(r"[^0-9A-Z]")


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


def printed(reference: str) -> str:
    """Return the reference in groups of four, as ISO 11649 asks for on paper."""
    return " ".join(reference[i : i + 4] for i in range(0, len(reference), 4))


def find_references(text: str, known: Collection[str]) -> list[str]:
    """Return every known reference that occurs in ``text``, in order, each once.

    Case, spaces and punctuation do not matter: banks fold, wrap and cut what payers type.
    """
    run = _NOT_ALPHANUMERIC.sub("", text.upper())
    wanted = set(known)
    lengths = sorted({len(reference) for reference in wanted}, reverse=True)
    found: dict[str, None] = {}
    for match in re.finditer("RF", run):
        candidates = (run[match.start() : match.start() + length] for length in lengths)
        hit = next((candidate for candidate in candidates if candidate in wanted), None)
        if hit:
            found[hit] = None
    return list(found)
