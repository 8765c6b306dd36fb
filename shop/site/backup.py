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
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.color import no_style
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


def read_manifest(path: Path) -> dict[str, Any]:
    """Return what the backup says of itself, with every member checked against its checksum.

    Raises BackupError when it is not a backup of ours, damaged, or incomplete.
    """
    try:
        with tarfile.open(path, "r:gz") as tar:
            found = {member.name: _digest_of(tar, member) for member in tar if member.isfile()}
            member = tar.extractfile("manifest.json")
            manifest: dict[str, Any] = json.loads(member.read()) if member else {}
    except (tarfile.TarError, OSError, EOFError, KeyError, ValueError) as error:
        raise BackupError(f"{path.name} is not a whole backup: {type(error).__name__}.") from error
    if manifest.get("format") != FORMAT:
        raise BackupError(f"{path.name} has format {manifest.get('format')}; this program reads {FORMAT}.")
    wrong = [name for name, digest in manifest["sha256"].items() if found.get(name) != digest]
    if wrong:
        raise BackupError(f"{path.name} is damaged: {', '.join(wrong[:3])} does not match its checksum.")
    return manifest


def _digest_of(tar: tarfile.TarFile, member: tarfile.TarInfo) -> str:
    file = tar.extractfile(member)
    return hashlib.file_digest(file, "sha256").hexdigest() if file else ""  # type: ignore[arg-type]


def restore(path: Path, *, replace: bool = False) -> dict[str, Any]:
    """Put rows and files back and return the manifest; all rows or none.

    Raises BackupError when the backup is damaged, when it was made by another version of the program, or
    when there is something here already and ``replace`` was not said.
    """
    manifest = read_manifest(path)
    _check_version(manifest)
    if not replace and (what := _what_is_here()):
        raise BackupError(f"There are {what} here already. Say --replace to put the backup in their place.")
    with tarfile.open(path, "r:gz") as tar:
        rows = tar.extractfile("rows.jsonl")
        if rows is None:
            raise BackupError("The backup holds no rows.")
        _restore_rows(rows)
        _restore_files(tar, manifest)
    return manifest


def _check_version(manifest: dict[str, Any]) -> None:
    here, there = set(migrations()), set(manifest["migrations"])
    if newer := sorted(there - here):
        raise BackupError(
            f"The backup was made by a newer version of this program: it knows {newer[-1]}. Install that."
        )
    if older := sorted(here - there):
        raise BackupError(
            f"The backup was made before {older[0]}. Restore it with the version that made it, then upgrade."
        )


def _what_is_here() -> str:
    for model in kept_models():
        if model._meta.app_label in ("configurator", "shop") and model._base_manager.exists():
            return str(model._meta.verbose_name_plural)
    return ""


def _restore_rows(rows: IO[bytes]) -> None:
    with transaction.atomic():
        call_command("flush", interactive=False, inhibit_post_migrate=True, verbosity=0)
        with connection.constraint_checks_disabled():
            for found in serializers.deserialize("jsonl", io.TextIOWrapper(rows, encoding="utf-8")):
                found.save(force_insert=True)
        connection.check_constraints()
        with connection.cursor() as cursor:
            for statement in connection.ops.sequence_reset_sql(no_style(), kept_models()):
                cursor.execute(statement)


def _restore_files(tar: tarfile.TarFile, manifest: dict[str, Any]) -> None:
    for name in manifest["sha256"]:
        file = tar.extractfile(name) if name.startswith("files/") else None
        if file is None:
            continue
        stored = name.removeprefix("files/")
        if default_storage.exists(stored):
            default_storage.delete(stored)
        if default_storage.save(stored, File(file)) != stored:
            raise BackupError(f"{stored} could not be put back under its name.")
