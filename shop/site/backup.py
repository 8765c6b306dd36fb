"""Everything the site keeps, in one file: rows and stored files, from one moment, with checksums.

A backup is a gzipped tar of ``manifest.json``, ``rows.jsonl`` (one object a line, as Django serialises it)
and ``files/``. It holds no sign-ins. It does not depend on the kind of database: a backup made on SQLite
can be restored into PostgreSQL. Rows are read from one snapshot; files are copied before and after it, so
that whatever the snapshot names is there.
"""

from __future__ import annotations

import hashlib
import io
import json
import tarfile
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, time
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.core import serializers
from django.core.files.storage import default_storage
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

FORMAT = 1


LEFT_OUT = frozenset({"sessions.session"})


CHUNK = 1 << 20


class BackupError(Exception):
    """The backup cannot be made or restored, and why."""


class Exact(DjangoJSONEncoder):
    """Times to the microsecond: Django's own encoder keeps milliseconds only."""

    def default(self, o: Any) -> Any:
        """Return what JSON can hold."""
        return o.isoformat() if isinstance(o, datetime | time) else super().default(o)


@dataclass
class Summary:
    """What a backup holds: rows by model, files, and files that were named and not there."""

    rows: dict[str, int] = field(default_factory=dict)
    files: int = 0
    missing: list[str] = field(default_factory=list)


def kept_models() -> list[type[models.Model]]:
    """Return the models whose rows are kept, each after those it refers to where that is possible."""
    found = serializers.sort_dependencies([(config, None) for config in apps.get_app_configs()])
    return [model for model in found if model._meta.label_lower not in LEFT_OUT and model._meta.managed]


def migrations() -> list[str]:
    """Return the migrations applied, as ``app.name``."""
    rows = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in rows)


def back_up(path: Path) -> Summary:
    """Write the backup; on failure nothing is left at ``path``."""
    part = path.with_name(path.name + ".part")
    try:
        with tarfile.open(part, "w:gz") as tar:
            summary = _write(tar)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return summary


def _write(tar: tarfile.TarFile) -> Summary:
    summary, sums = Summary(), {}
    copied: dict[str, str] = {}
    _copy_files(tar, _stored_names(), copied, summary)
    with tempfile.TemporaryFile() as rows:
        with _snapshot():
            applied, names = migrations(), _write_rows(rows, summary)
        sums["rows.jsonl"] = _add(tar, "rows.jsonl", rows)
    _copy_files(tar, names, copied, summary)
    summary.missing = sorted(names - set(copied))
    summary.files = len(copied)
    manifest = {
        "format": FORMAT,
        "made_at": timezone.now().isoformat(),
        "migrations": applied,
        "rows": summary.rows,
        "missing_files": summary.missing,
        "sha256": sums | {f"files/{name}": digest for name, digest in copied.items()},
    }
    _add(tar, "manifest.json", io.BytesIO(json.dumps(manifest, indent=1).encode()))
    return summary


@contextmanager
def _snapshot() -> Iterator[None]:
    """Read all that follows as of one moment, without holding writers up."""
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        raw = connection.connection
        if raw.in_transaction:
            yield
            return
        # Deferred: a reader under WAL sees the database as of its first read and locks nobody out.
        raw.execute("BEGIN DEFERRED")
        try:
            yield
        finally:
            raw.execute("ROLLBACK")
        return
    with transaction.atomic():
        if not connection.in_atomic_block or connection.savepoint_ids == []:
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


def _write_rows(out: IO[bytes], summary: Summary) -> set[str]:
    """Write every row as a line and return the names of files that rows refer to."""
    names: set[str] = set()
    for model in kept_models():
        fields = [f for f in model._meta.fields if isinstance(f, models.FileField)]
        count = 0
        for row in model._base_manager.using("default").order_by("pk").iterator(chunk_size=500):
            out.write(serializers.serialize("jsonl", [row], cls=Exact).encode())
            names.update(name for f in fields if (name := getattr(row, f.name).name))
            count += 1
        summary.rows[model._meta.label_lower] = count
    return names


def _stored_names(folder: str = "") -> set[str]:
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return set()
    prefix = f"{folder}/" if folder else ""
    found = {f"{prefix}{name}" for name in files if name}
    return found.union(*(_stored_names(f"{prefix}{name}") for name in folders if name), set())


def _copy_files(tar: tarfile.TarFile, names: Iterable[str], copied: dict[str, str], summary: Summary) -> None:
    for name in sorted(set(names) - set(copied)):
        with tempfile.TemporaryFile() as copy:
            try:
                with default_storage.open(name, "rb") as file:
                    for chunk in iter(lambda: file.read(CHUNK), b""):
                        copy.write(chunk)
            except FileNotFoundError:
                continue
            copied[name] = _add(tar, f"files/{name}", copy)


def _add(tar: tarfile.TarFile, name: str, data: IO[bytes]) -> str:
    """Add one member and return its SHA-256."""
    info = tarfile.TarInfo(name)
    info.size = data.seek(0, io.SEEK_END)
    info.mode, info.mtime = 0o600, int(timezone.now().timestamp())
    data.seek(0)
    digest = hashlib.file_digest(data, "sha256").hexdigest()  # type: ignore[arg-type]
    data.seek(0)
    tar.addfile(info, data)
    return digest
