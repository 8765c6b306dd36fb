"""The key by which a payer's name finds a customer, whatever the order and titles a bank writes."""

from __future__ import annotations

import re
import unicodedata
from itertools import combinations

_TITLES = frozenset(
    ["dr", "prof", "mr", "mrs", "ms", "miss", "herr", "frau", "firma", "fa", "und", "and", "oder", "or"]
)
_MOST_WORDS = 6


def _words(name: str) -> list[str]:
    # Banks write without accents; ü as ue or u is not told apart from them.
    plain = name.casefold().replace("ä", "ae").replace("ö", "oe").replace("ü", "ue").replace("ß", "ss")
    bare = unicodedata.normalize("NFKD", plain).encode("ascii", "ignore").decode()
    return [word for word in re.findall(r"\w{2,}", bare) if word not in _TITLES]


def payer_key(name: str) -> str:
    """Return the key of a customer's name: its first and last word in alphabetical order.

    >>> payer_key("Dr. Ida Maria Sommer")
    'ida sommer'
    """
    words = _words(name)
    return " ".join(sorted({words[0], words[-1]}))[:80] if words else ""


def payer_keys(name: str) -> set[str]:
    """Return the keys that a payer's name on a statement may stand for: each two of its words."""
    words = sorted(set(_words(name)))[:_MOST_WORDS]
    return {" ".join(pair)[:80] for pair in combinations(words, 2)} | (
        {words[0][:80]} if len(words) == 1 else set()
    )
