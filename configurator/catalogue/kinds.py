"""What a catalogue file is: its rows' schema, what else must hold, and who writes it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from .known import Blame, Known
from .rows import Row
from .writing import Writer


@dataclass(frozen=True)
class Kind:
    """One catalogue file: its rows' schema, what else must hold, and who writes it.

    ``namespace`` is where its keys live (wheels and tyres are items too); ``table`` the array of a TOML
    file; ``check(row, known)`` yields a field and a message for what one row alone cannot tell;
    ``check_all(known)`` yields (key, field, message) for what is missing as a whole; ``model`` is where
    rows gone from the file are looked for; ``read()`` yields what an export writes where the rows lie in no
    table of the catalogue's own.
    """

    name: str
    file: str
    schema: type[Row]
    write: Callable[[Writer, list[Any]], None]
    namespace: str = ""
    table: str = ""
    model: type[Model] | None = None
    required: bool = True
    read: Callable[[], Iterable[dict[str, Any]]] | None = None
    check: Callable[[Any, Known], Iterable[Blame]] = lambda row, known: ()
    check_all: Callable[[Known], Iterable[tuple[str, str, str]]] = lambda known: ()

    @property
    def place(self) -> str:
        """The namespace its keys live in, by default its own name."""
        return self.namespace or self.name
