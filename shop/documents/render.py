"""From a template and plain data to a PDF, with the compiler and fonts that come as Python wheels.

Data reach the template as JSON, so that a customer's words are values and never markup; nothing is read
from the network or from the machine's own fonts, and a paper looks the same everywhere.
"""

from __future__ import annotations

import hashlib
import json
import re
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

import fontpkg_ibm_plex_sans_condensed as typeface
import typst
from django.conf import settings

TEMPLATES = Path(settings.BASE_DIR) / "templates" / "shop" / "documents"
# A fixed date in the file's own data: the same content gives the same bytes.
_WRITTEN = datetime(2000, 1, 1, tzinfo=UTC)

STANDARDS: Final = ("a-2a", "ua-1")
"""What papers keep to: ISO 19005-2 level A, to be kept for years, and ISO 14289-1, to be read aloud."""
WITH_FILES: Final = ("a-3a", "ua-1")
"""The same with other files inside (ISO 19005-3)."""
# What the typeface and those beside it in the compiler have a shape for, as
# `tests/shop/documents/test_standards.py` finds out. Both standards refuse anything else.
_NO_SHAPE = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u024f\u0300-\u030f\u0370-\u0377\u0384-\u038a\u038c\u038e-\u03a1\u03a3-\u04ff"
    "\u1e00-\u1eff\u2000-\u2027\u202f-\u2040\u2042\u2044-\u205f\u2070\u2071\u2074-\u208e\u2090-\u209c\u20a0-\u20bf"
    "\u2190-\u22ff\u25a0-\u25ff]"
)
STAND_IN: Final = "\u25a1"


@lru_cache(maxsize=1)
def fonts() -> Any:
    """Return the fonts of the wheels, and only those."""
    folder = Path(typeface.__file__).parent / "files"
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(folder)])


def as_json(data: dict[str, Any]) -> str:
    """Return the data in the form that the digest and the template see."""
    return json.dumps(data, ensure_ascii=False, sort_keys=True)


@lru_cache(maxsize=1)
def _look_digest() -> bytes:
    return b"".join(hashlib.sha256(path.read_bytes()).digest() for path in sorted(TEMPLATES.glob("*.typ")))


def digest(template: str, data: dict[str, Any]) -> str:
    """Return what tells whether a paper made earlier is still this one."""
    return hashlib.sha256(_look_digest() + template.encode() + as_json(data).encode()).hexdigest()


def pdf(template: str, data: dict[str, Any], *, standards: tuple[str, ...] = STANDARDS) -> bytes:
    """Return the paper, tagged and kept to the PDF standards that are named.

    A character without a shape in our fonts, such as an emoji in a customer's note, is printed as an empty
    square. Raises ``typst.TypstError`` when template and data do not fit each other.
    """
    options = {"format": "pdf", "timestamp": _WRITTEN, "pdf_standards": list(standards)}
    return bytes(_compile(template, printable(data), **options))


def printable(value: Any) -> Any:
    """Return texts, lists and mappings of them with ``STAND_IN`` for each character that has no shape."""
    if isinstance(value, str):
        return _NO_SHAPE.sub(STAND_IN, value)
    if isinstance(value, dict):
        return {name: printable(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [printable(one) for one in value]
    return value


def png(template: str, data: dict[str, Any], ppi: int = 90) -> list[bytes]:
    """Return the paper's pages as pictures."""
    found = _compile(template, data, format="png", ppi=ppi)
    return list(found) if isinstance(found, list) else [found]


def _compile(template: str, data: dict[str, Any], **options: Any) -> Any:
    return typst.compile(
        str(TEMPLATES / f"{template}.typ"),
        root=str(TEMPLATES),
        font_paths=fonts(),
        sys_inputs={"data": as_json(data)},
        **options,
    )
