"""An archive of the catalogue that does not unpack is said beside its field."""

from __future__ import annotations

import io
import struct
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.shop import factories

pytestmark = pytest.mark.django_db


def archive() -> bytearray:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("makers.csv", "code,name\nskarn,Skarn\n" * 40)
    return bytearray(out.getvalue())


def locked() -> bytearray:
    """The bit that says that a password is needed, in both headers (APPNOTE 4.4.4)."""
    data = archive()
    for start, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = data.index(start) + at
        data[place : place + 2] = struct.pack("<H", 1)
    return data


def damaged() -> bytearray:
    data = archive()
    data[50:54] = b"\xff\xff\xff\xff"
    return data


def of_unknown_method() -> bytearray:
    data = archive()
    for start, at in ((b"PK\x03\x04", 8), (b"PK\x01\x02", 10)):
        place = data.index(start) + at
        data[place : place + 2] = struct.pack("<H", 97)
    return data


@pytest.mark.parametrize("made", [locked, damaged, of_unknown_method])
def test_what_does_not_unpack_is_said_beside_its_field(made, demo_catalogue) -> None:
    client = Client()
    client.force_login(factories.staff("manager", name="anke"))
    file = SimpleUploadedFile("catalogue.zip", bytes(made()))
    answer = client.post(reverse("shop:range_files"), {"file": file})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == ["file"]
