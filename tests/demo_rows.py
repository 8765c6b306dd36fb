"""The demonstration's rows, kept aside by the database itself and put back by it.

Writing three thousand rows through models takes a tenth of a second, copying them inside the database a
hundredth, and hundreds of tests want them.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection
from django.db.models import Model

from configurator.catalogue.snapshot import Catalogue

ASIDE = "kept_demo"


class DemoRows:
    """All rows of both apps that the caller's transaction sees, for every later test of the process.

    SQLite keeps them in a file that is attached beside the test's database; PostgreSQL, where a table made
    in a test goes with its transaction, as one JSON text a table.
    """

    def __init__(self, file: Path, read: Catalogue) -> None:
        """Keep every row, those of many-to-many relations included; ``read`` is the snapshot of them."""
        self.file = file
        self.read = read
        self.models: list[type[Model]] = []
        self.texts: dict[str, str] = {}
        for app in ("configurator", "shop"):
            for model in apps.get_app_config(app).get_models(include_auto_created=True):
                if model._base_manager.exists():
                    self.models.append(model)
        if connection.vendor == "sqlite":
            self._write_file()
            return
        with connection.cursor() as cursor:
            for table in self._tables():
                cursor.execute(f"SELECT json_agg(t)::text FROM {table} t")
                self.texts[table] = cursor.fetchone()[0]

    def put_back(self) -> None:
        """Write the rows that were kept into tables that have none of them, primary keys included."""
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                self._attach()
                for model, table in zip(self.models, self._tables(), strict=True):
                    columns = ", ".join(self._columns(model))
                    cursor.execute(f"INSERT INTO main.{table} ({columns}) SELECT * FROM {ASIDE}.{table}")
                return
            for table, text in self.texts.items():
                # A row that a migration writes is there already, unless a test has emptied the table.
                cursor.execute(
                    f"INSERT INTO {table} SELECT * FROM json_populate_recordset(NULL::{table}, %s)"
                    " ON CONFLICT DO NOTHING",
                    [text],
                )
            for statement in connection.ops.sequence_reset_sql(no_style(), self.models):
                cursor.execute(statement)

    def _tables(self) -> list[str]:
        return [connection.ops.quote_name(model._meta.db_table) for model in self.models]

    def _columns(self, model: type[Model]) -> list[str]:
        return [connection.ops.quote_name(field.column) for field in model._meta.local_fields]

    def _write_file(self) -> None:
        aside = sqlite3.connect(self.file)
        with aside, connection.cursor() as cursor:
            for model, table in zip(self.models, self._tables(), strict=True):
                columns = self._columns(model)
                # With a sign before it a column is a plain value, which no converter turns into an object.
                cursor.execute(f"SELECT {', '.join(f'+{column}' for column in columns)} FROM {table}")
                aside.execute(f"CREATE TABLE {table} ({', '.join(columns)})")
                aside.executemany(
                    f"INSERT INTO {table} VALUES ({', '.join('?' for _ in columns)})", cursor.fetchall()
                )
        aside.close()

    def _attach(self) -> None:
        """Attach the file to this connection, unless it is."""
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA database_list")
            if ASIDE not in {row[1] for row in cursor.fetchall()}:
                cursor.execute(f"ATTACH DATABASE %s AS {ASIDE}", [f"file:{self.file}?mode=ro&immutable=1"])
