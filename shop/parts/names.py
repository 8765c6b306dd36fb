"""What a part is called in the reader's language."""

from __future__ import annotations

from django.utils.translation import get_language

from configurator.catalogue import snapshot
from configurator.pages.told import told


def named(item: str, name: str) -> str:
    """Return a part by what the catalogue calls it now, if that is still the name it was agreed under."""
    if (get_language() or "").startswith("en"):
        return name  # what was agreed is stored in English
    known = snapshot.recent().items.get(item)
    return told(known.name) if known and known.name == name else name
