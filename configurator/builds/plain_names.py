"""Names that strangers type and mails repeat: all of it shows, and no mail program makes a link of it."""

from __future__ import annotations

import re

ADDRESS = re.compile(r"\S*(?:://|www\.)\S*", re.IGNORECASE)
# A mail program makes a link of any two words with a dot between them; Dr.Holm becomes Dr. Holm.
DOTTED = re.compile(r"(?<=\w)\.(?=\w)")
# Marks that turn the words around them about, and blanks of no width: a name of those alone shows nothing.
UNSEEN = re.compile("[\u061c\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff\u00ad]")


def without_links(name: str) -> str:
    """Return the name without web addresses and unseen marks; what only looks like one is parted."""
    shown = UNSEEN.sub("", name)
    return " ".join(DOTTED.sub(". ", ADDRESS.sub(" ", shown)).split())
