"""From a template and plain data to a PDF, with the compiler and fonts that come as Python wheels.

Data reach the template as JSON, so that a customer's words are values and never markup; nothing is read
from the network or from the machine's own fonts, and a paper looks the same everywhere.
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import fontpkg_ibm_plex_sans_condensed as typeface
import typst
from django.conf import settings

TEMPLATES = Path(settings.BASE_DIR) / "templates" / "shop" / "documents"
# A fixed date in the file's own data: the same content gives the same bytes.
_WRITTEN = datetime(2000, 1, 1, tzinfo=UTC)


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


def pdf(template: str, data: dict[str, Any], *, standard: str = "") -> bytes:
    """Return the paper, kept to a PDF standard such as ``a-3b`` when one is named.

    Raises ``typst.TypstError`` when template and data do not fit each other.
    """
    options = {"pdf_standards": standard} if standard else {}
    return bytes(_compile(template, data, format="pdf", timestamp=_WRITTEN, **options))


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
