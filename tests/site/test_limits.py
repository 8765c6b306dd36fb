"""What one visitor may do in a while: refused with a true sentence, nothing lost, nobody else shut out."""

from __future__ import annotations

import io
import time
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, RequestFactory
from django.utils import timezone

from configurator.models import Photo, Spec
from configurator.visitors import limiting
from configurator.visitors.address import visitor_address
from shop.models import Job
from tests.pages.conftest import Visitor
from tests.shop import factories
from tests.shop.tracking.conftest import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def visitor(client: Client, demo_catalogue: Any) -> Visitor:
    """A visitor who has begun a build of the van."""
    return Visitor(client)


@pytest.mark.parametrize(
    ("proxies", "given", "wanted"),
    [
        (0, "6.6.6.6", "192.0.2.1"),
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "6.6.6.6, 203.0.113.9", "203.0.113.9"),
        (2, "6.6.6.6, 203.0.113.9, 10.0.0.1", "203.0.113.9"),
        (1, "not an address", "192.0.2.1"),
        (2, "203.0.113.9", "192.0.2.1"),
        (1, "2001:db8:1:2:aaaa::1", "2001:db8:1:2::"),
        (1, "::ffff:203.0.113.9", "203.0.113.9"),
    ],
)
def test_a_visitor_cannot_choose_the_address_that_is_counted(
    settings: Any, proxies: int, given: str, wanted: str
) -> None:
    settings.KERBLINE_PROXIES = proxies
    request = RequestFactory().get("/", REMOTE_ADDR="192.0.2.1", headers={"X-Forwarded-For": given})
    assert visitor_address(request) == wanted


@pytest.mark.long
def test_tries_to_sign_in_are_counted_by_that_address_too(client: Client, settings: Any) -> None:
    """With the example's proxy in front one visitor's failures lock that visitor out, not everybody."""
    settings.KERBLINE_PROXIES = 1
    staff = factories.staff("manager")
    staff.set_password("a long one 4711")
    staff.save()

    def sign_in(password: str, address: str, name: str) -> int:
        data = {"username": name, "password": password}
        forwarded = {"X-Forwarded-For": f"10.9.9.9, {address}"}
        return client.post("/sign-in/", data, REMOTE_ADDR="127.0.0.1", headers=forwarded).status_code

    tries = [sign_in("wrong", "203.0.113.9", f"guess{number}") for number in range(9)]
    assert tries[-1] == 429
    assert sign_in("a long one 4711", "203.0.113.9", staff.username) == 429
    assert sign_in("a long one 4711", "203.0.113.10", staff.username) == 302


def test_builds_begun_are_limited_by_address(client: Client, demo_catalogue: Any, settings: Any) -> None:
    settings.LIMITS = {"builds": "3/hour"}
    answers = [client.post("/begin/haldor-2/") for _ in range(4)]
    assert [answer.status_code for answer in answers] == [302, 302, 302, 429]
    assert "3 builds were begun" in answers[-1].content.decode()
    assert 0 < int(answers[-1]["Retry-After"]) <= 3600
    assert Spec.objects.count() == 3
    assert client.post("/begin/haldor-2/", REMOTE_ADDR="192.0.2.77").status_code == 302


def test_waiting_helps_whoever_keeps_trying(settings: Any) -> None:
    settings.LIMITS = {"builds": "1/second"}
    assert limiting.wait_for("builds", "x") == 0
    assert limiting.wait_for("builds", "x") == 1
    assert limiting.wait_for("builds", "y") == 0
    time.sleep(1.05)
    assert limiting.wait_for("builds", "x") == 0


def test_without_an_answer_of_redis_each_process_counts_for_itself(settings: Any) -> None:
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    settings.LIMITS = {"builds": "2/hour"}
    limiting.forget()
    assert [limiting.wait_for("builds", "x") > 0 for _ in range(3)] == [False, False, True]


@pytest.mark.long
def test_too_many_sends_lose_nothing(visitor: Visitor, settings: Any) -> None:
    settings.LIMITS = {"sends": "1/hour"}
    assert visitor.send()["Location"].startswith("/job/")
    again = Visitor(visitor.client)
    answer = again.send(name="Ida Holm-Berg")
    page = answer.content.decode()
    assert answer.status_code == 429
    assert "It was not sent" in page
    assert 'value="Ida Holm-Berg"' in page
    assert again.spec.contact == {}  # nobody asked to have it kept
    assert Job.objects.count() == 1


def photo(name: str = "side.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, jpeg().read(), "image/jpeg")


def test_photos_are_limited_by_number_and_by_room(visitor: Visitor, settings: Any) -> None:
    def add() -> Any:
        return visitor.client.post(
            f"{visitor.url}photos/", {"photos": photo()}, headers={"X-Kerbline": "photo"}
        )

    size = len(jpeg().read())
    settings.LIMITS = {"photos": "2/hour"}
    settings.KERBLINE_PHOTO_BUILD_BYTES = size * 3 // 2
    assert add().status_code == 200
    settings.KERBLINE_PHOTO_BUILD_BYTES = size
    full = add()
    assert (full.status_code, "Remove one first" in full.content.decode()) == (422, True)
    often = add()
    assert (often.status_code, "as many photos as we take" in often.content.decode()) == (429, True)
    settings.LIMITS, settings.KERBLINE_PHOTO_BUILD_BYTES = {}, size * 10
    settings.KERBLINE_PHOTO_ALL_BYTES = size
    assert "bring them along" in add().content.decode()
    assert Photo.objects.count() == 1


def test_what_was_sent_takes_no_room_of_those_who_build(visitor: Visitor, settings: Any) -> None:
    other = Visitor(Client())
    own = other.client.post(f"{other.url}photos/", {"photos": photo()})
    assert own.status_code == 302
    settings.KERBLINE_PHOTO_ALL_BYTES = Photo.objects.get().size_bytes
    Spec.objects.filter(pk=other.spec.pk).update(sent_at=timezone.now())
    assert visitor.client.post(f"{visitor.url}photos/", {"photos": photo()}).status_code == 302


def test_a_clean_photo_is_counted_by_its_clean_copies(
    visitor: Visitor, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        visitor.client.post(f"{visitor.url}photos/", {"photos": photo()})
    row = Photo.objects.get()
    assert row.state == Photo.State.READY
    assert row.size_bytes == row.image.size + row.thumbnail.size


def test_a_request_is_refused_by_what_it_announces_before_a_byte_is_read(
    client: Client, demo_catalogue: Any
) -> None:
    class Untouched(io.BytesIO):
        def read(self, *args: Any) -> bytes:
            raise AssertionError("the body was read")

    for path, length in (("/begin/haldor-2/", 2_000_001), ("/build/x/photos/", 182_000_001)):
        answer = client.generic(
            "POST",
            path,
            **{
                "wsgi.input": Untouched(),
                "CONTENT_LENGTH": str(length),
                "CONTENT_TYPE": "multipart/form-data",
            },
        )
        assert answer.status_code == 413
        assert "Nothing of it was taken" in answer.content.decode()
    assert client.post("/begin/haldor-2/", CONTENT_LENGTH="nonsense").status_code in (302, 400)


def test_who_did_nothing_leaves_no_session(client: Client, demo_catalogue: Any) -> None:
    sender = Visitor(Client())
    share = f"/share/{sender.spec.share_token}/"
    before = Session.objects.count()
    for path in (
        "/",
        "/sign-in/",
        "/job/new-link/",
        "/job/new-link/sent/",
        "/sign-in/forgotten/",
        share,
        "/x",
    ):
        client.get(path)
    client.post("/preferences/", {"theme": "dark"})
    assert Session.objects.count() == before
    assert "sessionid" not in client.cookies


def test_passwords_are_asked_for_a_few_times_only(client: Client, settings: Any) -> None:
    settings.LIMITS = {"passwords": "1/hour"}
    asked = [client.post("/sign-in/forgotten/", {"email": "a@b.example"}) for _ in range(2)]
    assert [answer.status_code for answer in asked] == [302, 429]
    assert 'value="a@b.example"' in asked[1].content.decode()
