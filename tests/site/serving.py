"""The site in processes of its own, on the test's own PostgreSQL, and customers who press all at once."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Barrier
from typing import Any
from urllib.parse import urlencode

import boto3
from django.conf import settings
from django.db import connection
from django.test import Client
from moto.server import ThreadedMotoServer

from configurator.models import Spec
from tests.pages.conftest import CONTACT, Visitor

CSRF = "c" * 32
FORM = {
    "Content-Type": "application/x-www-form-urlencoded",
    "Cookie": f"csrftoken={CSRF}",
    "X-CSRFToken": CSRF,
}


def environment(data: Path, **more: str) -> dict[str, str]:
    """Return the environment of a process on the test's own database, with a data folder of its own."""
    used = connection.settings_dict
    url = f"postgres://{used['USER']}:{used['PASSWORD']}@{used['HOST']}:{used['PORT']}/{used['NAME']}"
    data.mkdir(exist_ok=True)
    return os.environ | {"DATABASE_URL": url, "KERBLINE_DATA": str(data), "KERBLINE_LIMITS": "off", **more}


@contextmanager
def bucket() -> Iterator[dict[str, str]]:
    """Answer as a bucket does; what a process is told to keep its files there."""
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    endpoint = "http://{}:{}".format(*server.get_host_and_port())
    keys = {"AWS_ACCESS_KEY_ID": "only-for-tests", "AWS_SECRET_ACCESS_KEY": "only-for-tests"}
    client = boto3.client(
        "s3", endpoint_url=endpoint, region_name="us-east-1",
        aws_access_key_id="only-for-tests", aws_secret_access_key="only-for-tests",
    )  # fmt: skip
    client.create_bucket(Bucket="shop")
    try:
        yield keys | {"KERBLINE_STORAGE": f"s3://shop/files?endpoint={endpoint}&region=us-east-1"}
    finally:
        server.stop()


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def start_web(port: int, env: dict[str, str], *, workers: int = 2) -> subprocess.Popen[bytes]:
    """Start the web process as the deployment's own file has it, and wait until it answers."""
    bound = {"KERBLINE_BIND": f"127.0.0.1:{port}", "KERBLINE_WEB_WORKERS": str(workers)}
    command = [sys.executable, "-m", "gunicorn", "-c", "shop/site/deploy/gunicorn.conf.py", "shop.site.wsgi"]
    log = (Path(env["KERBLINE_DATA"]) / "web.log").open("ab")
    web = subprocess.Popen(
        command, cwd=settings.BASE_DIR, env=env | bound, stdout=log, stderr=log, start_new_session=True
    )
    deadline = time.monotonic() + 90
    while time.monotonic() < deadline:
        with suppress(OSError):
            if get(port, "/healthz")[0] == 200:
                return web
        time.sleep(0.2)
    raise AssertionError("the web process did not answer")


def start_worker(env: dict[str, str]) -> subprocess.Popen[bytes]:
    """Start one worker for all queues."""
    command = [sys.executable, "-m", "celery", "-A", "shop.site.celery", "worker", "--concurrency", "1"]
    log = (Path(env["KERBLINE_DATA"]) / "worker.log").open("ab")
    return subprocess.Popen(
        command, cwd=settings.BASE_DIR, env=env, stdout=log, stderr=log, start_new_session=True
    )


def kill(process: subprocess.Popen[bytes]) -> None:
    """Kill a process with its children, without asking."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(timeout=20)


@contextmanager
def ended(*processes: subprocess.Popen[bytes]) -> Iterator[None]:
    """Kill what is left of these processes afterwards."""
    try:
        yield
    finally:
        for process in processes:
            kill(process)


def get(port: int, path: str) -> tuple[int, str]:
    """Ask for a page; return its status and text."""
    return _ask(port, "GET", path, None)


def post(port: int, path: str, fields: dict[str, Any]) -> tuple[int, str]:
    """Post a form; return the status and where it leads."""
    return _ask(port, "POST", path, urlencode(fields, doseq=True))


def _ask(port: int, method: str, path: str, body: str | None) -> tuple[int, str]:
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    try:
        asked.request(method, path, body, FORM)
        answer = asked.getresponse()
        text = answer.read().decode(errors="replace")
        return answer.status, answer.headers.get("Location") or text
    finally:
        asked.close()


def prepared(count: int) -> list[tuple[str, dict[str, Any]]]:
    """Return builds that are ready to be sent, as address and form."""
    visitor = Visitor(Client())
    visitor.post(**CONTACT)
    first, asked = visitor.spec, []
    for number in range(count):
        spec = Spec.objects.create(
            selection=first.selection, evaluation=first.evaluation, contact=first.contact,
            catalogue_version=first.catalogue_version, is_sendable=first.is_sendable,
            posted_digest=first.posted_digest,
        )  # fmt: skip
        person = {**CONTACT, "email": f"ida{number}@customer.example", "do": "send"}
        asked.append((f"/build/{spec.token}/", visitor.fields(**person)))
    return asked


def all_at_once(port: int, asked: list[tuple[str, dict[str, Any]]]) -> list[tuple[float, int]]:
    """Post everything at the same moment; return seconds and status of each."""
    barrier = Barrier(len(asked))

    def press(one: tuple[str, dict[str, Any]]) -> tuple[float, int]:
        barrier.wait()
        begun = time.monotonic()
        status, _ = post(port, *one)
        return time.monotonic() - begun, status

    with ThreadPoolExecutor(max_workers=len(asked)) as crowd:
        return list(crowd.map(press, asked))


def start_beat(env: dict[str, str]) -> subprocess.Popen[bytes]:
    """Start the clock of all machines."""
    where = str(Path(env["KERBLINE_DATA"]) / "beat")
    command = [sys.executable, "-m", "celery", "-A", "shop.site.celery", "beat", "--schedule", where]
    log = (Path(env["KERBLINE_DATA"]) / "beat.log").open("ab")
    return subprocess.Popen(
        command, cwd=settings.BASE_DIR, env=env, stdout=log, stderr=log, start_new_session=True
    )


def wait_until(holds: Any, seconds: float) -> bool:
    """Wait until something holds; return whether it does."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if holds():
            return True
        time.sleep(0.5)
    return bool(holds())
