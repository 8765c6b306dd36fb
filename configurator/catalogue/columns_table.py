"""The columns of every file as a table in Markdown, made from their declarations."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils import translation

from . import field_words, words
from .describing import Column, columns
from .files import kinds
from .kinds import Kind
from .languages import TextRow

HEAD = """# Columns of the catalogue's files

Made by `manage.py catalogue_columns` from the declarations that the loader and the office's forms use; a test
fails when it is out of date. An empty cell is a value not given. Units stand in the names: `_mm`, `_kg`,
`_in`, `_pct`. Codes are lower-case letters, digits, dot, plus and dash.
"""


def table() -> str:
    """Return the whole table in English."""
    with translation.override("en-gb"):
        parts = [HEAD]
        parts += ["\n".join(_of(kind.file, kind.table, columns(kind.schema), kind)) for kind in kinds()]
        parts.append("\n".join(_of("texts.LANGUAGE.csv", "", columns(TextRow), None)))
    return "\n".join(parts) + "\n"


def _of(file: str, array: str, found: tuple[Column, ...], kind: Kind | None) -> Iterator[str]:
    yield f"\n## {file}\n"
    if array:
        yield f"One `[[{array}]]` a row.\n"
    if kind is not None and not kind.required:
        yield "The file may be missing.\n"
    yield "| column | what it is | holds | bounds | if empty |"
    yield "| --- | --- | --- | --- | --- |"
    for column in found:
        yield _line(column, "")
        for inner in column.inner:
            yield _line(inner, f"{column.name}.")


def _line(column: Column, prefix: str) -> str:
    said = "; ".join(filter(None, (field_words.name_of(column.name), field_words.help_text(column.name))))
    empty = "must stand" if column.required else _default(column)
    cells = (f"`{prefix}{column.name}`", said, column.type_words, ", ".join(column.bounds), empty)
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _default(column: Column) -> str:
    if column.default is None:
        return "not known"
    if column.default in ("", []):
        return "nothing"
    return f"`{column.default}`" if not isinstance(column.default, bool) else words.yes_no(column.default)
