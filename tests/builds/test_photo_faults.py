"""Photos when something breaks: none is lost, none comes back, and what cannot be made says so."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.db import DatabaseError
from PIL import Image

from configurator.builds import photos
from configurator.models import OutboxEntry, Photo, Spec
from configurator.outbox import service as outbox

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def upload() -> BytesIO:
    out = BytesIO()
    Image.new("RGB", (320, 240), (90, 120, 60)).save(out, "JPEG")
    return BytesIO(out.getvalue())


@pytest.fixture
def spec() -> Spec:
    return Spec.objects.create(selection={}, catalogue_version=1)


def waiting(spec: Spec, upload: BytesIO, monkeypatch: pytest.MonkeyPatch) -> Photo:
    """A photo that was taken in and that no worker has looked at."""
    with monkeypatch.context() as patch:
        patch.setattr("configurator.outbox.service.dispatch", lambda *told: None)
        return photos.add_photo(spec_id=spec.pk, file=upload)


def test_a_transaction_that_comes_to_nothing_keeps_the_raw_photo(
    spec: Spec, upload: BytesIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = waiting(spec, upload, monkeypatch)

    def cut_off(*args: Any, **kwargs: Any) -> None:
        raise DatabaseError("server closed the connection unexpectedly")

    with monkeypatch.context() as patch:
        patch.setattr(Photo, "save", cut_off)
        with pytest.raises(DatabaseError):
            photos.clean_photo({"photo_id": photo.pk})
    photo.refresh_from_db()
    assert photo.state == "waiting"
    assert photo.raw.storage.exists(photo.raw.name)

    raw = photo.raw.name
    photos.clean_photo({"photo_id": photo.pk})
    photo.refresh_from_db()
    assert (photo.state, photo.raw.name) == ("ready", "")
    assert not photo.image.storage.exists(raw)
    assert Image.open(photo.image.open()).size == (320, 240)


def test_a_photo_removed_while_it_is_cleaned_stays_removed(
    spec: Spec, upload: BytesIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = waiting(spec, upload, monkeypatch)
    clean = photos.process_photo

    def slowly(*args: Any, **kwargs: Any) -> Any:
        photos.remove_photo(photo_id=photo.pk)
        return clean(*args, **kwargs)

    monkeypatch.setattr(photos, "process_photo", slowly)
    photos.clean_photo({"photo_id": photo.pk})
    assert not Photo.objects.exists()


def test_a_photo_that_cannot_be_prepared_says_so_when_it_is_given_up(
    spec: Spec, upload: BytesIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = waiting(spec, upload, monkeypatch)
    photo.raw.storage.delete(photo.raw.name)
    OutboxEntry.objects.update(attempts=6)
    entry = OutboxEntry.objects.get()
    for state in ("waiting", "refused"):
        OutboxEntry.objects.filter(pk=entry.pk).update(next_attempt_at=entry.made_at)
        assert outbox.keep(entry.pk) is False
        photo.refresh_from_db()
        assert photo.state == state
    assert photo.refusal["id"] == photos.NOT_PREPARED
