"""Photos: taken in, cleaned, turned, removed; hostile ones refused in words."""

from __future__ import annotations

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import translation
from PIL import Image

from configurator.models import Photo, Spec
from configurator.pages.told import told

from .conftest import Visitor

SCRIPT = {"X-Kerbline": "photo"}


def photo(name: str = "left.jpg", size: tuple[int, int] = (640, 480)) -> SimpleUploadedFile:
    """A small JPEG with a place in its metadata."""
    out = BytesIO()
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (50.0, 56.0, 0.0)}
    Image.new("RGB", size, (90, 120, 60)).save(out, "JPEG", exif=exif)
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


def add(visitor: Visitor, *files: SimpleUploadedFile, script: bool = False):
    data = {"photos": list(files)} if script else {**visitor.fields(), "photos": list(files)}
    return visitor.client.post(f"{visitor.url}photos/", data, headers=SCRIPT if script else {})


@pytest.mark.long
@pytest.mark.django_db(transaction=True)
def test_several_at_once_without_script(visitor: Visitor) -> None:
    answer = add(visitor, photo(), photo("right.jpg"))
    assert answer["Location"] == f"{visitor.url}?open=photos#s-photos"
    assert [p.state for p in Photo.objects.all()] == ["ready", "ready"]
    assert visitor.page().count("Your photo") == 2
    clean = Image.open(Photo.objects.first().image.open())
    assert dict(clean.getexif()) == {}
    # What was chosen on the page but not yet saved is kept by the same submit.
    assert visitor.spec.selection["accent"] == "ember-orange"


@pytest.mark.django_db(transaction=True)
def test_one_by_one_by_script(visitor: Visitor) -> None:
    answer = add(visitor, photo(), script=True)
    assert answer.status_code == 200
    assert 'data-state="ready"' in answer.content.decode()
    one = Photo.objects.get()
    base = f"{visitor.url}photos/{one.token}/"
    image = visitor.client.get(f"{base}image/")
    assert image["Content-Type"] == "image/jpeg"
    assert visitor.client.post(f"{base}rotate/", headers=SCRIPT).status_code == 200
    one.refresh_from_db()
    assert (one.width_px, one.height_px) == (480, 640)
    assert visitor.client.post(f"{base}remove/", headers=SCRIPT).content == b""
    assert visitor.client.post(f"{base}remove/", headers=SCRIPT).content == b""
    assert Photo.objects.count() == 0
    assert visitor.client.get(f"{base}image/").status_code == 404


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    "data",
    [b"", b"<svg onload=alert(1)>", b"GIF89a" + b"\0" * 50, b"\x89PNG\r\n\x1a\n" + b"\xff" * 99, b"hello"],
)
def test_what_is_no_photo_is_refused_in_words(visitor: Visitor, data: bytes) -> None:
    answer = add(visitor, SimpleUploadedFile("../../evil<b>.jpg", data, "image/jpeg"), script=True)
    assert answer.status_code in (200, 422)
    assert "<b>" not in answer.content.decode()
    assert not Photo.objects.filter(state="ready").exists()
    if answer.status_code == 200:
        assert Photo.objects.get().why_not


@pytest.mark.long
def test_no_file_at_all(visitor: Visitor) -> None:
    assert add(visitor, script=True).status_code == 422
    answer = add(visitor)
    assert answer.status_code == 422
    assert "Choose at least one photo first." in answer.content.decode()


def test_a_huge_file_is_cut_off_while_it_arrives(visitor: Visitor, settings) -> None:
    settings.KERBLINE_PHOTO_MAX_BYTES = 50_000
    answer = add(visitor, SimpleUploadedFile("big.jpg", b"\xff\xd8" + b"x" * 3_000_000), script=True)
    assert answer.status_code == 422
    assert "larger than" in answer.content.decode()
    assert Photo.objects.count() == 0


def test_no_more_than_allowed(visitor: Visitor, settings) -> None:
    settings.KERBLINE_PHOTO_MAX_COUNT = 1
    assert add(visitor, photo(), script=True).status_code == 200
    refused = add(visitor, photo(), script=True)
    assert refused.status_code == 422
    assert "No more than 1" in refused.content.decode()


def test_another_builds_photo_is_out_of_reach(visitor: Visitor) -> None:
    add(visitor, photo(), script=True)
    other = Visitor(visitor.client)
    token = Photo.objects.get().token
    assert visitor.client.get(f"{other.url}photos/{token}/image/").status_code == 404
    visitor.client.post(f"{other.url}photos/{token}/remove/", headers=SCRIPT)
    assert Photo.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_what_was_refused_takes_no_place(visitor: Visitor, settings) -> None:
    settings.KERBLINE_PHOTO_MAX_COUNT = 2
    for data in (b"GIF89a not a photo", b"%PDF-1.7 not a photo"):
        add(visitor, SimpleUploadedFile("no.jpg", data, "image/jpeg"), script=True)
    assert visitor.spec.photos.filter(state="refused").count() == 2
    assert add(visitor, photo(), script=True).status_code == 200
    assert visitor.spec.photos.filter(state="ready").count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_refusal_names_the_file_in_the_readers_language(visitor: Visitor) -> None:
    visitor.client.cookies["django_language"] = "de"
    file = SimpleUploadedFile("links vorn.gif", b"GIF89a not a photo", "image/gif")
    assert "links vorn: Das ist ein GIF." in add(visitor, file, script=True).content.decode()


@pytest.mark.django_db(transaction=True)
def test_what_was_refused_is_kept_for_readers_of_any_language(visitor: Visitor, settings) -> None:
    settings.KERBLINE_PHOTO_MAX_PIXELS = 2_000_000
    big = BytesIO()
    Image.new("RGB", (2000, 1500)).save(big, "PNG")
    add(visitor, SimpleUploadedFile("left.png", big.getvalue(), "image/png"), script=True)
    kept = Photo.objects.get()
    assert kept.refusal == {"id": "photo_too_many_pixels", "figures": {"million_count": 2}}
    assert "has more than 2 million pixels" in told(kept.why_not)
    with translation.override("de"):
        assert "hat mehr als 2 Millionen Pixel" in told(kept.why_not)


def test_a_refusal_stored_as_a_sentence_is_still_read(visitor: Visitor) -> None:
    old = Photo.objects.create(
        spec=visitor.spec,
        state=Photo.State.REFUSED,
        message="This is a GIF. Send the photo as JPEG, PNG or WebP.",
    )
    assert told(old.why_not).startswith("This is a GIF.")
    with translation.override("de"):
        assert told(old.why_not).startswith("Das ist ein GIF.")
    old.message, old.refusal = "", {"id": "of another version", "figures": {}}
    assert told(old.why_not) == ""


@pytest.mark.django_db(transaction=True)
def test_with_the_vehicle_gone_its_photos_are_still_given_and_every_press_is_answered(
    visitor: Visitor,
) -> None:
    add(visitor, photo(), script=True)
    kept = f"{visitor.url}photos/{Photo.objects.get().token}/"
    Spec.objects.update(selection={"generation": "no-longer"})
    assert visitor.client.get(f"{kept}image/").status_code == 200
    for address in (f"{visitor.url}photos/", f"{kept}rotate/"):
        assert visitor.client.post(address, {"photos": photo()}).status_code == 410
    assert visitor.client.post(f"{kept}rotate/", headers=SCRIPT).status_code == 200
    assert visitor.client.post(f"{kept}remove/").status_code == 410
    assert not Photo.objects.exists()  # taken away all the same
