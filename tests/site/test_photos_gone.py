"""Whose file is gone is not found: every address that gives a stored photo, with the file and without."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.db.models.fields.files import FieldFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from configurator.models import Photo
from shop.jobs.models import Job
from shop.jobs.models_bookin import BookInPhoto
from shop.jobs.models_lines import Proposal
from shop.vehicles.models import AxleReading
from tests.shop import factories

pytestmark = pytest.mark.django_db


def jpeg() -> ContentFile[bytes]:
    out = BytesIO()
    Image.new("RGB", (8, 6), "grey").save(out, "JPEG")
    return ContentFile(out.getvalue())


@dataclass
class Shop:
    """A job whose vehicle is in the bay, and the manager."""

    job: Job
    manager: Client

    @property
    def address(self) -> str:
        return f"/workshop/jobs/{self.job.number}/"


@pytest.fixture
def shop() -> Shop:
    user, client = factories.staff("manager"), Client()
    client.force_login(user)
    return Shop(factories.job(state="in_the_bay"), client)


def kept(field: FieldFile) -> None:
    field.save("one.jpg", jpeg())


def build_photo(shop: Shop) -> str:
    shop.job.spec.sent_at = None
    shop.job.spec.save(update_fields=["sent_at"])
    photo = Photo.objects.create(spec=shop.job.spec, state="ready")
    kept(photo.thumbnail)
    return f"/build/{shop.job.spec.token}/photos/{photo.token}/image/"


def customers_photo(shop: Shop) -> str:
    photo = Photo.objects.create(spec=shop.job.spec, state="ready")
    kept(photo.image)
    return f"{shop.address}photos/{photo.token}/large/"


def book_in_photo(shop: Shop) -> str:
    photo = BookInPhoto(book_in=shop.job.book_in, side="front")
    kept(photo.file)
    return f"{shop.address}book-in/photo/{photo.pk}/"


def step_photo(shop: Shop) -> str:
    step = shop.job.operations.earliest("position")
    kept(step.photo)
    return f"{shop.address}bench/{step.pk}/photo/"


def found_photo(shop: Shop) -> str:
    proposal = Proposal(job=shop.job, number=1, why="Rust", press="p")
    kept(proposal.photo)
    return f"{shop.address}changes/1/photo/"


def reading_photo(shop: Shop) -> str:
    by = factories.staff("technician")
    fields = {"generation": "haldor-2", "position": "front", "field": "arch_lip_mm", "how": "rule", "by": by}
    reading = AxleReading(value=101, **fields)
    kept(reading.photo)
    return reverse("shop:reading_photo", args=[reading.pk])


@pytest.mark.parametrize(
    "place", [build_photo, customers_photo, book_in_photo, step_photo, found_photo, reading_photo]
)
def test_a_photo_is_given_while_its_file_is_there(shop: Shop, place: Callable[[Shop], str]) -> None:
    address = place(shop)
    given = shop.manager.get(address)
    assert b"".join(given.streaming_content).startswith(b"\xff\xd8")  # type: ignore[attr-defined]
    assert given["Content-Type"] == "image/jpeg"
    [file] = Path(settings.MEDIA_ROOT).rglob("*.jpg")
    file.unlink()
    assert shop.manager.get(address).status_code == 404
