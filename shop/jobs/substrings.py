"""Rows whose text has something in it anywhere, found by an index of three letters each.

On PostgreSQL that is ``pg_trgm`` where the server has it, on SQLite an FTS5 table that triggers keep
(migration 0034). Without either, and for one or two letters, the same rows are found by reading all texts.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import lru_cache

from django.db import connection
from django.db.models import Model, Q
from django.db.models.expressions import RawSQL

SHORTEST = 3
Words = Sequence[Collection[str]]
"""Ways of writing each word: a row has all the words, each in one of its ways."""


def has(model: type[Model], column: str, words: Words) -> Q:
    """Return the rows of a model whose column has these words in it, as a condition on that model."""
    if index := _index(model, words):
        return Q(pk__in=RawSQL(_found(index), [_match(words)]))  # noqa: S611
    return reads(column, words)


def reads(column: str, words: Words) -> Q:
    """Return the same for rows that are looked at one by one: quicker where most have the words."""
    every = Q()
    for ways in words:
        one = Q(pk__in=[])
        for way in sorted(ways):
            one |= Q(**{f"{column}__contains": way})
        every &= one
    return every


def keys_of(model: type[Model], column: str, words: Words, most: int) -> list[int]:
    """Return the keys of the rows that have these words, at most so many, in no order."""
    if index := _index(model, words):
        # Asked of the index alone: within another question all its answers would be gathered first.
        with connection.cursor() as cursor:
            cursor.execute(f"{_found(index)} LIMIT %s", [_match(words), most])
            return [key for (key,) in cursor.fetchall()]
    return list(model._default_manager.filter(has(model, column, words)).values_list("pk", flat=True)[:most])


def _found(index: str) -> str:
    # The table's name is the model's own; what was typed is a parameter.
    return f'SELECT rowid FROM "{index}" WHERE "{index}" MATCH %s'  # noqa: S608


def _match(words: Words) -> str:
    """Return the words in the index's own language: each way is a string, in which only quotes count."""
    quoted = ([f'"{way.replace(chr(34), chr(34) * 2)}"' for way in sorted(ways)] for ways in words)
    return " AND ".join(f"({' OR '.join(ways)})" for ways in quoted)


def _index(model: type[Model], words: Words) -> str:
    """Return the table that answers for these words on SQLite, or nothing."""
    index = f"{model._meta.db_table}_index"
    long = bool(words) and all(ways and min(map(len, ways)) >= SHORTEST for ways in words)
    return index if long and connection.vendor == "sqlite" and _is_there(index) else ""


@lru_cache
def _is_there(index: str) -> bool:
    with connection.cursor() as cursor:
        return index in connection.introspection.table_names(cursor)
