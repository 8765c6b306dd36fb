"""A text that remembers what it is made of, so that a page can word it in its reader's language.

``Said`` is a string: the English sentence, for code, files and logs. Beside it stand the values: the id
and figures of a sentence that the program composes, or a catalogue's own text in its other languages.

>>> Said("Grille", texts={"de": "Grill"}).texts["de"]
'Grill'
>>> Said("4 mm inside.", id="inside", figures={"gap_mm": 4}).figures["gap_mm"]
4
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BaseModel, WrapValidator

Kept = dict[str, Any]
_NOTHING: Mapping[str, Any] = {}


class Said(str):
    """English text with the values behind it.

    ``id`` and ``figures`` (numbers, strings, other ``Said`` or lists of them) belong to a sentence of the
    program; ``texts`` maps languages to a catalogue's own translation. A plain string has neither.
    """

    id: str
    figures: Mapping[str, Any]
    texts: Mapping[str, str]

    def __new__(
        cls,
        text: str,
        *,
        id: str = "",
        figures: Mapping[str, Any] = _NOTHING,
        texts: Mapping[str, str] = _NOTHING,
    ) -> Said:
        """Make a text of its values."""
        made = super().__new__(cls, text)
        made.id, made.figures, made.texts = id, figures, texts
        return made

    def __str__(self) -> str:
        """Return itself, so that ``str()`` of what is named by it loses nothing."""
        return self

    def kept(self) -> Kept:
        """Return the values as JSON can hold them; figures that are texts with values keep theirs."""
        if self.texts:
            return {"texts": dict(self.texts)}
        return {"id": self.id, "figures": {name: _kept(value) for name, value in self.figures.items()}}

    @classmethod
    def read(cls, text: str, kept: Any) -> str:
        """Return the text with the values that ``kept`` gave; a plain string when they are not whole."""
        if not isinstance(kept, dict):
            return text
        texts, figures = kept.get("texts"), kept.get("figures")
        if isinstance(texts, dict):
            return cls(text, texts=texts)
        if isinstance(kept.get("id"), str) and isinstance(figures, dict):
            return cls(text, id=kept["id"], figures={name: _read(value) for name, value in figures.items()})
        return text


def _kept_whole(value: Any, judge: Callable[[Any], str]) -> str:
    return value if isinstance(value, Said) else judge(value)


Text = Annotated[str, WrapValidator(_kept_whole)]
"""A field of a record for a text that people read: a ``Said`` stays one."""


def phrases(found: Any) -> dict[str, Kept]:
    """Return the values of every ``Said`` in a record and all it holds, by English text."""
    return {text: text.kept() for text in _within(found)}


def revived(found: Any, book: Mapping[str, Kept]) -> Any:
    """Return JSON data with each text that the book knows made a ``Said`` again, read once however often."""
    return _revived(found, _Read(book))


class _Read(dict[str, str]):
    """Texts with their values again, each read from the book when it is first asked for."""

    def __init__(self, book: Mapping[str, Kept]) -> None:
        super().__init__()
        self.book = book

    def __missing__(self, text: str) -> str:
        kept = self.book.get(text)
        made = self[text] = text if kept is None else Said.read(text, kept)
        return made


def _revived(found: Any, read: _Read) -> Any:
    if isinstance(found, str):
        return read[found]
    if isinstance(found, dict):
        return {name: _revived(value, read) for name, value in found.items()}
    if isinstance(found, list | tuple):
        return [_revived(value, read) for value in found]
    return found


def _within(found: Any) -> Iterator[Said]:
    if isinstance(found, Said):
        if found.id or found.texts:
            yield found
    elif isinstance(found, BaseModel):
        for name in type(found).model_fields:
            yield from _within(getattr(found, name))
    elif isinstance(found, Mapping):
        yield from _each(found.values())
    elif isinstance(found, list | tuple):
        yield from _each(found)


def _each(found: Iterable[Any]) -> Iterator[Said]:
    for value in found:
        yield from _within(value)


def _kept(value: Any) -> Any:
    if isinstance(value, Said) and (value.id or value.texts):
        return {"text": str.__str__(value), **value.kept()}
    if isinstance(value, list | tuple):
        return [_kept(one) for one in value]
    return float(value) if isinstance(value, Decimal) else value


def _read(value: Any) -> Any:
    if isinstance(value, dict) and isinstance(value.get("text"), str):
        return Said.read(value["text"], value)
    if isinstance(value, list):
        return [_read(one) for one in value]
    return value
