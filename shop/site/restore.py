"""A backup read, checked and put back: all rows or none."""

from __future__ import annotations

import hashlib
import io
import json
import tarfile
from pathlib import Path
from typing import IO, Any

from django.core import serializers
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, transaction

from .backup import FORMAT, BackupError, kept_models, migrations

BEGUN = frozenset({"shop.shortagemark"})
"""Models whose rows the migrations make."""


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

    A database without tables, as on a new machine, gets them first. Raises BackupError when the backup is
    damaged, when it was made by another version of the program, or when there is something here already and
    ``replace`` was not said.
    """
    manifest = read_manifest(path)
    if not migrations():
        call_command("migrate", verbosity=0)
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
    """Return what somebody has entered here; rows that come with the tables are none of it."""
    for model in kept_models():
        if model._meta.label_lower in BEGUN or model._meta.app_label not in ("configurator", "shop"):
            continue
        if model._base_manager.exists():
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
