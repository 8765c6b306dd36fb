"""Backup and restore: everything of one moment, whole or not at all."""

from __future__ import annotations

import gzip
import io
import json
import os
import subprocess
import sys
import tarfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from configurator.models import OutboxEntry, Photo
from shop.jobs.service import take_into_review
from shop.models import HistoryEntry, Job, ShortageMark
from shop.site import backup, restore
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def shop(settings: Any, tmp_path: Path) -> Job:
    """A workshop with a job, its history, and a photo."""
    folder = {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": tmp_path / "media"},
    }
    settings.STORAGES = settings.STORAGES | {"default": folder}
    factories.make_workshop()
    job = factories.job()
    take_into_review(job_id=job.pk, by=factories.staff("reviewer", name="mira"))
    photo = Photo(spec=job.spec, label="left", state="ready")
    photo.image.save("left.jpg", ContentFile(b"picture"), save=True)
    return job


def everything() -> dict[str, list[dict[str, Any]]]:
    return {m._meta.label: list(m._base_manager.order_by("pk").values()) for m in backup.kept_models()}


@pytest.mark.long
def test_what_was_backed_up_is_there_again_to_the_last_field(shop: Job, tmp_path: Path) -> None:
    before, file = everything(), tmp_path / "b.tar.gz"
    call_command("backup", str(file), stdout=io.StringIO())
    stored = Photo.objects.get().image.name

    Job.objects.update(number="K-1999-0001")
    Photo.objects.all().delete()
    default_storage.delete(stored)
    with pytest.raises(CommandError, match="--replace"):
        call_command("restore", str(file))
    call_command("restore", str(file), "--replace", stdout=io.StringIO())

    assert everything() == before
    with default_storage.open(stored) as back:
        assert back.read() == b"picture"
    # What is made next gets a key of its own: sequences were set on.
    assert factories.job().pk > shop.pk
    assert HistoryEntry.objects.count() > len(before["shop.HistoryEntry"])


@pytest.mark.long
def test_a_file_that_is_gone_is_named_and_the_rest_is_kept(shop: Job, tmp_path: Path) -> None:
    name = Photo.objects.get().image.name
    default_storage.delete(name)
    errors = io.StringIO()
    call_command("backup", str(tmp_path / "b.tar.gz"), stdout=io.StringIO(), stderr=errors)
    assert name in errors.getvalue()
    assert restore.read_manifest(tmp_path / "b.tar.gz")["missing_files"] == [name]


@pytest.mark.long
@pytest.mark.parametrize("harm", ["cut", "changed", "other"])
def test_a_damaged_backup_changes_nothing(shop: Job, tmp_path: Path, harm: str) -> None:
    file = tmp_path / "b.tar.gz"
    backup.back_up(file)
    data = file.read_bytes()
    if harm == "cut":
        file.write_bytes(data[: len(data) // 2])
    elif harm == "changed":
        plain = gzip.decompress(data)
        file.write_bytes(gzip.compress(plain.replace(b"ida@customer.example", b"eve@customer.example")))
    else:
        file.write_bytes(b"no backup at all")
    before = everything()
    with pytest.raises(backup.BackupError):
        restore.restore(file, replace=True)
    assert everything() == before


@pytest.mark.long
@pytest.mark.parametrize(("known", "word"), [(["shop.9999_later"], "newer version"), ([], "made before")])
def test_a_backup_of_another_version_is_refused_in_words(
    shop: Job, tmp_path: Path, known: list[str], word: str
) -> None:
    file = tmp_path / "b.tar.gz"
    backup.back_up(file)
    changed = io.BytesIO()
    with tarfile.open(file) as old, tarfile.open(fileobj=changed, mode="w:gz") as new:
        for member in old:
            data = old.extractfile(member).read()
            if member.name == "manifest.json":
                manifest = json.loads(data)
                manifest["migrations"] = [*manifest["migrations"], *known] if known else []
                data = json.dumps(manifest).encode()
                member.size = len(data)
            new.addfile(member, io.BytesIO(data))
    file.write_bytes(changed.getvalue())
    with pytest.raises(backup.BackupError, match=word):
        restore.restore(file, replace=True)


@pytest.mark.long
def test_a_site_that_was_only_just_begun_has_nothing_to_lose(shop: Job, tmp_path: Path) -> None:
    backup.back_up(tmp_path / "b.tar.gz")
    before = everything()
    call_command("flush", interactive=False, inhibit_post_migrate=True, verbosity=0)
    ShortageMark.objects.create(pk=1)  # as a migration does
    restore.restore(tmp_path / "b.tar.gz")
    assert everything() == before


@pytest.mark.long
def test_on_a_new_machine_the_backup_is_all_that_is_needed(shop: Job, tmp_path: Path) -> None:
    file = tmp_path / "b.tar.gz"
    backup.back_up(file)
    new = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "REDIS_URL")}
    new |= {
        "KERBLINE_DATA": str(tmp_path / "new"),
        "KERBLINE_SECRET_KEY": "only-for-this-test-of-a-new-machine-k",
    }
    for command, said in ((["restore", str(file)], "restored: "), (["restore", str(file)], "already")):
        done = subprocess.run(
            [sys.executable, "manage.py", *command],
            env=new,
            cwd=settings.BASE_DIR,
            capture_output=True,
            text=True,
        )
        assert said in done.stdout + done.stderr


def test_a_backup_that_fails_leaves_no_half_file(shop: Job, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr(backup, "migrations", lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        backup.back_up(tmp_path / "b.tar.gz")
    assert list(tmp_path.glob("b.tar*")) == []


@pytest.mark.long
def test_sign_ins_are_not_kept(shop: Job, client: Any, tmp_path: Path) -> None:
    client.force_login(factories.staff("manager"))
    backup.back_up(tmp_path / "b.tar.gz")
    assert "sessions.session" not in restore.read_manifest(tmp_path / "b.tar.gz")["rows"]


def test_rows_written_after_the_snapshot_are_not_half_there(
    shop: Job, tmp_path: Path, monkeypatch: Any
) -> None:
    if connection.vendor == "sqlite":
        pytest.skip("SQLite in memory has one connection; this runs with PostgreSQL")
    reading = backup.migrations

    def meanwhile() -> list[str]:
        found = reading()
        with ThreadPoolExecutor(1) as pool:
            pool.submit(_write_elsewhere).result()
        return found

    monkeypatch.setattr(backup, "migrations", meanwhile)
    done = backup.back_up(tmp_path / "b.tar.gz")
    assert OutboxEntry.objects.filter(key="meanwhile").exists()
    assert done.rows["configurator.outboxentry"] == OutboxEntry.objects.exclude(key="meanwhile").count()


def _write_elsewhere() -> None:
    OutboxEntry.objects.create(kind="x", key="meanwhile", next_attempt_at=timezone.now())
    connection.close()
