"""Machines that accept a connection and never answer: Redis for limits and progress, the mail server."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as project
from django.core.cache import caches
from redis.exceptions import RedisError

from configurator.models import OutboxEntry
from configurator.outbox import service as outbox
from configurator.visitors import limiting
from shop.models import OutgoingMail
from shop.range import progress
from tests.shop import factories


def test_limits_are_counted_all_the_same(deaf: int, settings: Any) -> None:
    settings.REDIS_URL = f"redis://127.0.0.1:{deaf}/0"
    settings.LIMITS = {"builds": "2/hour"}
    limiting.forget()
    begun = time.monotonic()
    assert [limiting.wait_for("builds", "x") > 0 for _ in range(3)] == [False, False, True]
    assert time.monotonic() - begun < 10


def test_a_list_goes_live_and_is_looked_at_without_its_progress(deaf: int, settings: Any) -> None:
    options = {"socket_timeout": 0.2, "socket_connect_timeout": 0.2}
    backend = "django.core.cache.backends.redis.RedisCache"
    where = {"BACKEND": backend, "LOCATION": f"redis://127.0.0.1:{deaf}/0", "OPTIONS": options}
    settings.CACHES = {"default": where}
    with pytest.raises(RedisError):
        caches["default"].get("anything")
    progress.noted("live", 1, 3, 12)
    assert progress.percent("live", 1) is None


@pytest.mark.django_db(transaction=True)
def test_a_mail_waits_for_another_try_and_goes_then(deaf: int, settings: Any) -> None:
    factories.make_workshop()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", deaf, 0.3
    begun = time.monotonic()
    factories.job()
    assert time.monotonic() - begun < 20
    row = OutgoingMail.objects.get()
    assert row.state == "waiting"
    assert "timed out" in row.error
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    waiting = OutboxEntry.objects.filter(key=f"mail:{row.pk}")
    waiting.update(next_attempt_at=row.made_at)
    outbox.sweep()
    row.refresh_from_db()
    assert (row.state, row.error, waiting.get().state) == ("sent", "", "done")


def test_the_sites_own_settings_wait_ten_seconds_for_a_mail_server(tmp_path: Path) -> None:
    env = os.environ | {"KERBLINE_SMTP_HOST": "127.0.0.1", "KERBLINE_DATA": str(tmp_path), "DATABASE_URL": ""}
    told = "from django.core.mail import get_connection; print(get_connection().timeout)"
    found = subprocess.run(
        [sys.executable, "manage.py", "shell", "-v0", "-c", told], cwd=project.BASE_DIR, env=env,
        capture_output=True, text=True, check=True, timeout=90,
    )  # fmt: skip
    assert found.stdout.strip() == "10"
