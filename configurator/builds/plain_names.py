"""Names that strangers type and mails repeat: no address in them that a mail program would make a link of."""

from __future__ import annotations

import re

ADDRESS = re.compile(r"\S*(?:://|www\.)\S*", re.IGNORECASE)
# A mail program makes a link of any two words with a dot between them; Dr.Holm becomes Dr. Holm.
DOTTED = re.compile(r"(?<=\w)\.(?=\w)")


def without_links(name: str) -> str:
    """Return the name without web addresses; what only looks like one is parted at its dots."""
    return " ".join(DOTTED.sub(". ", ADDRESS.sub(" ", name)).split())
