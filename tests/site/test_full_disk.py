"""A disk that is full, for real: a clear sentence, no half of a file, no empty mail, and nothing lost."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core import mail
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.mail import EmailMessage
from django.db import OperationalError
from django.test import Client
from PIL import Image

from configurator.models import Photo
from configurator.visitors.full import is_full
from tests.pages.conftest import Visitor


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Path]:
    """A folder on a disk of 64 kB."""
    folder = tmp_path / "full"
    folder.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder], check=False)
    if made.returncode:
        pytest.skip("mounting a small disk is not allowed here")
    yield folder
    subprocess.run(["umount", "-l", folder], check=True)


def files_in(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def photo() -> SimpleUploadedFile:
    out = BytesIO()
    Image.effect_noise((600, 600), 90).convert("RGB").save(out, "JPEG", quality=95)
    assert len(out.getvalue()) > 100_000
    return SimpleUploadedFile("side.jpg", out.getvalue(), "image/jpeg")


@pytest.mark.long
@pytest.mark.django_db
def test_a_photo_without_room_is_told_and_leaves_no_half(
    client: Client, demo_catalogue: Any, settings: Any, full: Path
) -> None:
    settings.MEDIA_ROOT = full
    visitor = Visitor(client)
    answer = client.post(f"{visitor.url}photos/", {"photos": photo()}, headers={"X-Kerbline": "photo"})
    assert answer.status_code == 422
    assert "no room for more photos" in answer.content.decode()
    assert files_in(full) == []
    assert Photo.objects.count() == 0
    by_form = client.post(f"{visitor.url}photos/", {**visitor.fields(), "photos": photo()})
    assert by_form.status_code == 422
    assert "no room for more photos" in by_form.content.decode()
    assert visitor.spec.selection["accent"] == "ember-orange"


def test_a_file_that_was_there_is_never_thrown_away(settings: Any, full: Path) -> None:
    settings.MEDIA_ROOT = full
    kept = default_storage.save("a.bin", ContentFile(b"x" * 10))
    with pytest.raises(OSError, match="No space left"):
        default_storage.save("b.bin", ContentFile(b"x" * 200_000))
    assert [path.name for path in files_in(full)] == [kept]


def test_a_mail_without_room_leaves_no_empty_file(settings: Any, full: Path) -> None:
    settings.EMAIL_BACKEND = "shop.site.folders.MailFolder"
    settings.EMAIL_FILE_PATH = str(full)
    with pytest.raises(OSError, match="No space left"):
        EmailMessage("Hello", "x" * 200_000, to=["a@b.example"]).send()
    assert files_in(full) == []
    connection = mail.get_connection()
    assert connection.send_messages([EmailMessage("Hello", "short", to=["a@b.example"])]) == 1
    assert [path.stat().st_size > 100 for path in files_in(full)] == [True]


@pytest.mark.django_db
def test_an_upload_that_finds_no_room_on_its_way_is_told_on_a_page(
    demo_catalogue: Any, settings: Any, full: Path
) -> None:
    """Large uploads are put on the disk while they are parsed, before any view sees them."""
    client = Client(raise_request_exception=False)
    visitor = Visitor(client)
    settings.FILE_UPLOAD_MAX_MEMORY_SIZE = 1000
    settings.FILE_UPLOAD_TEMP_DIR = str(full)
    answer = client.post(f"{visitor.url}photos/", {"photos": photo()})
    assert answer.status_code == 507
    assert "Nothing of what you just sent was taken" in answer.content.decode()


def test_the_databases_own_words_are_known() -> None:
    led_on = ValueError("no photo")
    led_on.__cause__ = OSError(28, "No space left on device")
    assert is_full(led_on)
    assert is_full(OperationalError("database or disk is full"))
    assert not is_full(OperationalError("database is locked"))
    assert not is_full(OSError(13, "Permission denied"))
