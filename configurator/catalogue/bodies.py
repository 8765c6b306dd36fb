"""The drawn bodies, one JSON file per generation beside the catalogue folder."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from configurator.pictures import Body, BodyError

from .sources import Finding

FOLDER = "bodies"


def read(catalogue: Path, codes: Iterable[str]) -> tuple[dict[str, Any], list[Finding]]:
    """Return each generation's shapes by code, and what is wrong with the files; a body may be missing."""
    shapes: dict[str, Any] = {}
    findings: list[Finding] = []
    for code in sorted(codes):
        path = catalogue.parent / FOLDER / f"{code}.json"
        if not path.exists():
            continue
        body, wrong = _body(path)
        if wrong:
            findings.append(Finding(f"{FOLDER}/{path.name}", 0, "", wrong))
        else:
            shapes[code] = body
    return shapes, findings


def _body(path: Path) -> tuple[Any, str]:
    """Return a file's object, or what is wrong with it."""
    try:
        body = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError) as error:
        return None, f"The file is not proper JSON: {error}."
    if not isinstance(body, dict):
        return None, "The file must hold one JSON object."
    try:
        Body.from_dict(body)
    except BodyError as error:
        return None, f"The drawing is not whole: {error}."
    return body, ""
