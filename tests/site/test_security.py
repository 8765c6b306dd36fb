"""Headers and cookies of private pages, logs without keys, settings that refuse to be weak."""

from __future__ import annotations

import json
import logging
import logging.config
import os
import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings as project
from django.core.exceptions import ImproperlyConfigured
from django.test import Client

from shop.site.logs import RequestFilter, logging_config, request_id, without_tokens
from shop.site.storage import storages
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.mark.long
def test_no_cache_keeps_a_private_page(client: Client) -> None:
    factories.make_workshop()
    job = factories.job()
    client.force_login(factories.staff("manager"))
    for page in (f"/job/{job.token}/", "/workshop/", f"/workshop/jobs/{job.number}/"):
        answer = client.get(page)
        assert (page, answer.status_code) == (page, 200)
        assert "no-store" in answer["Cache-Control"]
        assert answer["Cross-Origin-Resource-Policy"] == "same-origin"
        assert answer["Cross-Origin-Opener-Policy"] == "same-origin"


def test_signing_out_has_the_browser_forget(client: Client) -> None:
    client.force_login(factories.staff("manager"))
    answer = client.post("/sign-out/")
    assert answer.status_code == 302
    assert answer["Clear-Site-Data"] == '"cache", "storage"'
    assert client.get("/workshop/").status_code == 302


def test_security_txt_names_the_workshop_and_a_day_within_a_year(client: Client) -> None:
    """RFC 9116, 2.5: Contact and Expires are required, Expires less than a year ahead."""
    assert client.get("/.well-known/security.txt").status_code == 404
    factories.make_workshop()
    answer = client.get("/.well-known/security.txt")
    fields = dict(line.split(": ", 1) for line in answer.content.decode().splitlines())
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert fields["Contact"] == "mailto:desk@workshop.example"
    ahead = datetime.fromisoformat(fields["Expires"]) - datetime.now(UTC)
    assert timedelta(days=7) < ahead < timedelta(days=365)


@pytest.mark.parametrize(
    ("scheme", "key"), [("postgres", ""), ("postgresql", "changeme"), ("pgsql", "x" * 50), ("postgis", "")]
)
def test_machines_that_share_a_database_need_a_strong_key(scheme: str, key: str) -> None:
    environment = os.environ | {"DATABASE_URL": f"{scheme}://u:p@127.0.0.1/x", "KERBLINE_SECRET_KEY": key}
    done = subprocess.run(
        [sys.executable, "-c", "import shop.site.settings"],
        cwd=project.BASE_DIR,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "Set KERBLINE_SECRET_KEY to one long random text" in done.stderr


@pytest.mark.long
def test_a_site_set_up_as_the_example_says_passes_djangos_own_deployment_check(tmp_path) -> None:
    told = {
        "KERBLINE_DATA": str(tmp_path),
        "KERBLINE_HTTPS": "1",
        "KERBLINE_PROXIES": "1",
        "KERBLINE_HOSTS": "styling.example",
        "KERBLINE_SECRET_KEY": "".join(chr(33 + n * 7 % 90) for n in range(60)),
    }
    command = [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"]
    done = subprocess.run(
        command,
        cwd=project.BASE_DIR,
        env=os.environ | told,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("url", ["http://bucket", "s3://", "s3://bucket?acl=public-read"])
def test_a_storage_address_that_is_none_is_refused(url: str, tmp_path) -> None:
    with pytest.raises(ImproperlyConfigured, match="KERBLINE_STORAGE"):
        storages(url, static=tmp_path)


def test_a_bucket_is_private_and_names_are_never_used_twice(tmp_path) -> None:
    url = "s3://shop/files?endpoint=http://127.0.0.1:9000&region=eu"
    assert storages(url, static=tmp_path)["default"]["OPTIONS"] == {
        "bucket_name": "shop",
        "location": "files",
        "endpoint_url": "http://127.0.0.1:9000",
        "region_name": "eu",
        "default_acl": "private",
        "file_overwrite": False,
        "querystring_auth": True,
    }


def test_static_names_carry_a_digest_once_collected(tmp_path) -> None:
    assert "Manifest" not in storages("", static=tmp_path)["staticfiles"]["BACKEND"]
    (tmp_path / "staticfiles.json").write_text("{}")
    assert "CompressedManifest" in storages("", static=tmp_path)["staticfiles"]["BACKEND"]


def test_no_private_link_stands_in_a_log() -> None:
    token = "Zx9" * 10
    assert without_tokens(f"GET /job/{token}/photos/1") == "GET /job/…/photos/1"
    record = logging.LogRecord("django", logging.WARNING, "", 1, "%s %s", (f"/build/{token}/", 7), None)
    RequestFilter().filter(record)
    assert record.getMessage() == "/build/…/ 7"


def test_json_lines_carry_the_requests_id() -> None:
    config = logging_config("json")
    formatter = logging.config.DictConfigurator(config).configure_formatter(config["formatters"]["console"])
    record = logging.LogRecord("shop", logging.ERROR, "", 1, "no paper", (), None)
    token = request_id.set("abcdef0123456789")
    try:
        RequestFilter().filter(record)
    finally:
        request_id.reset(token)
    line = json.loads(formatter.format(record))
    assert (line["request_id"], line["levelname"], line["message"]) == (
        "abcdef0123456789",
        "ERROR",
        "no paper",
    )


def test_the_proxys_request_id_is_kept_when_it_is_one(client: Client) -> None:
    kept = client.get("/healthz", headers={"X-Request-ID": "proxy-12345678"})
    assert kept["X-Request-ID"] == "proxy-12345678"
    assert len(client.get("/healthz", headers={"X-Request-ID": "a b"})["X-Request-ID"]) == 16


def test_no_page_lets_htmx_write_styles_or_code_that_its_own_policy_refuses() -> None:
    pages = (project.BASE_DIR / "templates").rglob("*.html")
    with_htmx = {page.name: text for page in pages if "htmx-2" in (text := page.read_text())}
    assert {"build.html", "plan.html", "being_opened.html"} <= set(with_htmx)
    for name, text in with_htmx.items():
        told = re.search(r"""name="htmx-config" content='(\{.*?\})'""", text)
        assert told, name
        config = json.loads(told[1])
        assert (config["includeIndicatorStyles"], config["allowEval"]) == (False, False), name
