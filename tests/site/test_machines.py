"""More than one machine: nothing but database, Redis and bucket in common."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import pytest

from configurator.models import CatalogueVersion, Photo
from shop.models import OutgoingMail
from tests.shop.tracking.conftest import jpeg
from tests.site import serving

pytestmark = [
    pytest.mark.services,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("postgres" not in os.environ.get("DATABASE_URL", ""), reason="needs PostgreSQL"),
    pytest.mark.skipif(not os.environ.get("REDIS_URL"), reason="needs REDIS_URL"),
]


@pytest.fixture
def shared() -> Iterator[dict[str, str]]:
    """What machines share beside database and Redis: a bucket."""
    with serving.bucket() as told:
        yield told


def upload(port: int, address: str) -> int:
    """Send one photo as the page's script does."""
    edge = "----trial"
    head = f'--{edge}\r\nContent-Disposition: form-data; name="photos"; filename="side.jpg"\r\n'
    body = f"{head}Content-Type: image/jpeg\r\n\r\n".encode() + jpeg().read() + f"\r\n--{edge}--\r\n".encode()
    headers = serving.FORM | {
        "Content-Type": f"multipart/form-data; boundary={edge}",
        "X-Kerbline": "photo",
    }
    asked = HTTPConnection("127.0.0.1", port, timeout=60)
    asked.request("POST", f"{address}photos/", body, headers)
    return asked.getresponse().status


def version_shown(port: int, address: str) -> str:
    found = re.search(r'name="catalogue_version" value="(\d+)"', serving.get(port, address)[1])
    return found[1] if found else ""


def test_two_web_processes_and_two_workers_with_folders_of_their_own(
    demo_catalogue: Any, shared: dict[str, str], tmp_path: Path
) -> None:
    ports = [serving.free_port(), serving.free_port()]
    folders = [serving.environment(tmp_path / f"machine{n}", **shared) for n in range(2)]
    webs = [serving.start_web(port, env, workers=1) for port, env in zip(ports, folders, strict=True)]
    with serving.ended(*webs, *map(serving.start_worker, folders)):
        (address, form), (other, _) = serving.prepared(2)
        assert upload(ports[0], address) == 200
        assert serving.wait_until(lambda: Photo.objects.filter(state="ready").exists(), 90)
        photo = Photo.objects.get()
        for port in ports:
            assert serving.get(port, f"{address}photos/{photo.token}/image/")[0] == 200
        # A new version of the catalogue reaches every process with its next answer.
        number = CatalogueVersion.objects.order_by("-number").values_list("number", flat=True)[0]
        assert [version_shown(port, other) for port in ports] == [str(number)] * 2
        CatalogueVersion.objects.create(number=number + 1, digest="n" * 64)
        assert [version_shown(port, other) for port in ports] == [str(number + 1)] * 2
        CatalogueVersion.objects.filter(number=number + 1).delete()
        status, leads_to = serving.post(ports[1], address, form)
        assert (status, leads_to.startswith("/job/")) == (302, True)
        for port in ports:
            assert serving.get(port, leads_to)[0] == 200
        assert serving.wait_until(lambda: OutgoingMail.objects.filter(state="sent").exists(), 90)
    left = list(tmp_path.rglob("*.jpg"))
    assert left == [], "a photo lies on one machine's disk"
