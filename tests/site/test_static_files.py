"""Scripts and styles as a deployment serves them: hashed names, compressed, kept for good."""

from __future__ import annotations

import gzip
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import django_htmx
import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

ASK = """
import json, django
django.setup()
from django.templatetags.static import static
from django.test import Client
found = {}
for name in ("configurator/build.js", "configurator/build.css", "configurator/kerb.css",
             "django_htmx/htmx-2.min.js", "shop/photos.js"):
    address = static(name)
    answer = Client(headers={"Accept-Encoding": "gzip"}).get(address)
    found[name] = {"address": address, "status": answer.status_code, "headers": dict(answer.items()),
                   "body": b"".join(answer.streaming_content).hex()}
plain = Client().get("/static/configurator/build.js")
found["plain"] = {"headers": dict(plain.items())}
from django.contrib.staticfiles.storage import staticfiles_storage
found["manifest"] = list(staticfiles_storage.hashed_files)
print(json.dumps(found))
"""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the site answers in a data folder of its own after ``collectstatic``, as its deployment says."""
    data = tmp_path_factory.mktemp("data")
    env = os.environ | {
        "KERBLINE_DATA": str(data),
        "KERBLINE_SECRET_KEY": "only-for-this-test-" + "x" * 40,
        "DJANGO_SETTINGS_MODULE": "shop.site.settings",
    }
    env.pop("DATABASE_URL", None)
    run: dict[str, Any] = {
        "cwd": settings.BASE_DIR, "env": env, "check": True, "capture_output": True, "text": True
    }  # fmt: skip
    subprocess.run([sys.executable, "manage.py", "collectstatic", "--no-input", "-v0"], **run)
    answer = subprocess.run([sys.executable, "-c", ASK], **run)
    found: dict[str, Any] = json.loads(answer.stdout.splitlines()[-1])
    return found


@pytest.mark.long
def test_each_is_under_its_digest_compressed_and_kept_for_good(served: dict[str, Any]) -> None:
    """A name with the digest of its content can be kept for ever (RFC 9111, 5.2.2; RFC 8246: immutable)."""
    for name, one in served.items():
        if name in ("plain", "manifest"):
            continue
        assert one["status"] == 200, name
        stem, _dot, ending = name.rpartition("/")[2].rpartition(".")
        assert re.search(rf"/{re.escape(stem)}\.[0-9a-f]{{12}}\.{ending}\Z", one["address"]), one["address"]
        kept = one["headers"]["Cache-Control"]
        assert "immutable" in kept
        assert int(re.search(r"max-age=(\d+)", kept)[1]) >= 365 * 24 * 3600  # type: ignore[index]
        assert one["headers"]["Content-Encoding"] == "gzip"
        assert "Accept-Encoding" in one["headers"]["Vary"]
        original = next(path for path in _sources() if str(path).endswith(name)).read_bytes()
        body = bytes.fromhex(one["body"])
        assert len(body) < len(original) / 2
        if name.endswith(".js"):
            assert gzip.decompress(body) == original


@pytest.mark.long
def test_under_its_plain_name_it_is_not_kept_for_good(served: dict[str, Any]) -> None:
    assert "immutable" not in served["plain"]["headers"]["Cache-Control"]


def _sources() -> list[Path]:

    roots = [settings.BASE_DIR / "configurator/static", settings.BASE_DIR / "shop/static"]
    roots.append(Path(django_htmx.__file__).parent / "static")
    return [path for root in roots for path in Path(root).rglob("*") if path.is_file()]


def named() -> set[str]:
    """Return the name of every file that a template asks for."""
    found = {
        name
        for path in (settings.BASE_DIR / "templates").rglob("*.html")
        for name in re.findall(r"{% static ['\"]([^'\"]+)['\"]", path.read_text())
    }
    assert len(found) > 8
    return found


def test_every_file_that_a_template_names_is_there() -> None:
    """A name that is not there would be an error in the middle of a page."""
    assert [name for name in named() if not finders.find(name)] == []


@pytest.mark.long
def test_every_file_that_a_template_names_is_in_the_manifest(served: dict[str, Any]) -> None:
    assert named() - set(served["manifest"]) == set()
