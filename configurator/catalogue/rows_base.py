"""What every row of a catalogue file has: its tables, what it refers to, and how values are judged."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from django.db.models import Model
from pydantic import (
    BaseModel,
    ConfigDict,
    ValidationInfo,
    field_validator,
)

from .declared import judge_by_engine, judge_by_table, table_fields

CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f]")


class Row(BaseModel):
    """Base of all rows.

    ``refs`` (one row), ``many`` (a relation) and ``lists`` (kept as plain codes) say which field names
    rows of which namespace; ``nested`` names the fields that hold rows of their own. ``tables`` are those
    that the row fills; ``parts`` the fitment part it becomes, or several by the prefix of their fields;
    ``apart`` names fields that the part takes in another form.
    """

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, frozen=True)
    tables: ClassVar[tuple[type[Model], ...]] = ()
    parts: ClassVar[dict[str, type]] = {}
    apart: ClassVar[tuple[str, ...]] = ()
    refs: ClassVar[dict[str, str]] = {}
    many: ClassVar[dict[str, str]] = {}
    lists: ClassVar[dict[str, str]] = {}
    nested: ClassVar[tuple[str, ...]] = ()
    key_fields: ClassVar[tuple[str, ...]] = ("code",)

    @field_validator("*", mode="before")
    @classmethod
    def _printable(cls, value: Any) -> Any:
        """Refuse control characters other than line breaks and tabs; databases and printers do too."""
        if isinstance(value, str) and CONTROL.search(value):
            raise ValueError("There is a control character in the text.")
        return value

    @field_validator("*")
    @classmethod
    def _as_declared(cls, value: Any, info: ValidationInfo) -> Any:
        """Judge a value by the table's own field and by the engine's."""
        name = info.field_name or ""
        if name in table_fields(cls.tables):
            judge_by_table(table_fields(cls.tables)[name], value)
        for prefix, part in cls.parts.items() if name not in cls.apart else ():
            if name.startswith(prefix):
                judge_by_engine(part, name.removeprefix(prefix), value)
        return value

    def key(self) -> str:
        """Return what names the row within its file."""
        return "/".join(str(getattr(self, name)) for name in self.key_fields)
