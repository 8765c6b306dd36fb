"""The drawn bodies: one JSON file per generation in the catalogue's folder ``bodies``, named by its code."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from functools import partial
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from configurator.pictures import Body, BodyError

from . import judged_before
from .models import Generation
from .sources import Finding

FOLDER = "bodies"


def read(catalogue: Path, codes: Iterable[str]) -> tuple[dict[str, Any], list[Finding]]:
    """Return each generation's shapes by code, and what is wrong with the files; a body may be missing."""
    shapes: dict[str, Any] = {}
    findings: list[Finding] = []
    for code in sorted(codes):
        path = catalogue / FOLDER / f"{code}.json"
        if not path.exists():
            continue
        body, wrong = judged_before.once(path, partial(_body, path, code), code)
        findings += [Finding(f"{FOLDER}/{path.name}", 0, place, message) for place, message in wrong]
        if not wrong:
            shapes[code] = body
    return shapes, findings


def notes(catalogue: Path, codes: Collection[str]) -> list[Finding]:
    """Return what will be missed after a load: generations without a file, files without a generation.

    A catalogue may be used without drawings, so this refuses nothing; but nobody should have to find out
    from an empty page.
    """
    drawn = set(Generation.objects.exclude(body={}).values_list("code", flat=True))
    files = {path.stem for path in (catalogue / FOLDER).glob("*.json")}
    found = []
    for code in sorted(set(codes) - files):
        left = "the drawing loaded before stays" if code in drawn else "the vehicle has no picture"
        found.append(
            Finding(f"{FOLDER}/{code}.json", 0, "", _("The drawing is missing: %(left)s.") % {"left": left})
        )
    for code in sorted(files - set(codes)):
        found.append(
            Finding(
                f"{FOLDER}/{code}.json",
                0,
                "code",
                _("No generation has the code ‘%(code)s’.") % {"code": code},
            )
        )
    return found


def _body(path: Path, code: str) -> tuple[tuple[Any, list[tuple[str, str]]], bool]:
    """Return a file's object with each place in it that is wrong, and whether nothing is."""
    body, wrong = _judged(path, code)
    return (body, wrong), not wrong


def _judged(path: Path, code: str) -> tuple[Any, list[tuple[str, str]]]:
    try:
        body = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError) as error:
        return None, [("", _("The file is not proper JSON: %(error)s.") % {"error": error})]
    if not isinstance(body, dict):
        return None, [("", _("The file must hold one JSON object."))]
    try:
        drawn = Body.from_dict(body)
    except BodyError as error:
        return None, [(place, _sentence(message)) for place, message in error.problems]
    if drawn.code != code:
        return None, [
            (
                "code",
                _("‘%(code)s’ stands in the drawing of ‘%(code_2)s’.") % {"code": drawn.code, "code_2": code},
            )
        ]
    return body, []


def _sentence(message: str) -> str:
    """Return the schema's message as a sentence."""
    message = message.removeprefix("Value error, ")
    return message[:1].upper() + message[1:].removesuffix(".") + "."
