"""Sample terms and notices, from the demonstration's files; a workshop has its own checked before use."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from pathlib import Path

from django.conf import settings

FOLDER: Path = settings.BASE_DIR / "fixtures" / "catalogue"
FIELDS = ("terms", "privacy", "local_codes")


@cache
def sample(field: str, language: str = "") -> str:
    """Return the sample of a text: in the language of the files, or in another that they hold; else empty."""
    if not language:
        return str(tomllib.loads((FOLDER / "workshop.toml").read_text(encoding="utf-8"))[field]).strip()
    path = FOLDER / f"texts.{language}.csv"
    if not path.exists():
        return ""
    with path.open(encoding="utf-8", newline="") as file:
        found = (row for row in csv.DictReader(file) if row["kind"] == "workshop" and row["field"] == field)
        return next((row["text"].strip() for row in found), "")


def is_sample(text: str) -> bool:
    """Whether a text is a sample of ours, unchanged but for blanks."""
    plain = " ".join(text.split())
    codes = ["", *(path.name.split(".")[1] for path in FOLDER.glob("texts.*.csv"))]
    return any(plain == " ".join(sample(name, code).split()) for name in FIELDS for code in codes)
