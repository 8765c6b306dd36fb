"""A real worker behind a real Redis keeps a promise made in a real PostgreSQL."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.db import connection
from PIL import Image

from configurator.builds import photos
from configurator.models import OutboxEntry, Photo, Spec
from shop.site.celery import app

pytestmark = [
    pytest.mark.services,
    pytest.mark.skipif(not os.environ.get("REDIS_URL"), reason="needs REDIS_URL"),
    pytest.mark.skipif("postgres" not in os.environ.get("DATABASE_URL", ""), reason="needs PostgreSQL"),
]


def database_url() -> str:
    """The address of the test's own database, for another process."""
    used = connection.settings_dict
    return f"postgres://{used['USER']}:{used['PASSWORD']}@{used['HOST']}:{used['PORT']}/{used['NAME']}"


@pytest.fixture
def worker(transactional_db: None, tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A Celery worker in a process of its own, on the same database, broker and media folder."""
    environment = os.environ | {"DATABASE_URL": database_url(), "KERBLINE_DATA": str(tmp_path)}
    command = [sys.executable, "-m", "celery", "-A", "shop.site.celery", "worker", "--pool", "solo"]
    log = (tmp_path / "worker.log").open("wb")
    process = subprocess.Popen(
        [*command, "--loglevel", "info"],
        cwd=django_settings.BASE_DIR,
        env=environment,
        stdout=log,
        stderr=log,
    )
    yield process
    process.terminate()
    process.wait(timeout=20)
    log.close()


@pytest.fixture
def queued() -> Iterator[None]:
    """Hand tasks to the broker, as the site does where REDIS_URL is set."""
    app.control.purge()
    app.conf.task_always_eager = False
    yield
    app.conf.task_always_eager = True
    app.control.purge()


def wait_for(condition, seconds=60):
    """Wait until the condition holds; return whether it does."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if condition():
            return True
        time.sleep(0.2)
    return False


def test_worker_cleans_a_photo_after_the_commit(queued, worker, settings, tmp_path):
    picture = io.BytesIO()
    Image.new("RGB", (60, 40), "#336699").save(picture, "PNG")
    spec = Spec.objects.create(selection={"generation": "haldor-2"}, catalogue_version=1)
    photo = photos.add_photo(spec_id=spec.pk, file=io.BytesIO(picture.getvalue()))
    assert Photo.objects.get(pk=photo.pk).state == "waiting"

    cleaned = wait_for(lambda: Photo.objects.get(pk=photo.pk).state == "ready")
    assert cleaned, (tmp_path / "worker.log").read_text()[-2000:]
    # The photo is there a moment before its promise is noted as kept.
    assert wait_for(lambda: OutboxEntry.objects.get(kind="photo").state == "done")
    assert OutboxEntry.objects.get(kind="photo").attempts == 1
    kept = Photo.objects.get(pk=photo.pk)
    with kept.image.open("rb") as file:
        assert Image.open(file).format == "JPEG"
    assert not kept.raw
