"""Keys of private links: not in the database, still working after the change, taken back when asked."""

from __future__ import annotations

import base64
import hashlib
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.core import mail, serializers
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.test import Client

from configurator.builds.tokens import digest_of, token_of
from configurator.models import Photo, Spec
from shop.jobs.service import renew_link
from shop.models import CalendarAddress, Job, OutgoingMail
from shop.site.backup import kept_models
from tests.pages.conftest import Visitor
from tests.shop import factories


@pytest.fixture
def visitor(client: Client, demo_catalogue: Any) -> Visitor:
    """A visitor who has begun a build of the van."""
    return Visitor(client)


def everything() -> str:
    """Every row that is kept, and what sessions hold."""
    rows = (serializers.serialize("json", model._base_manager.all()) for model in kept_models())
    return "".join(rows) + repr([session.get_decoded() for session in Session.objects.all()])


@pytest.mark.long
@pytest.mark.django_db
def test_no_key_of_a_link_lies_in_the_database(
    visitor: Visitor, django_capture_on_commit_callbacks: Any
) -> None:
    visitor.page()
    with django_capture_on_commit_callbacks(execute=True):
        visitor.send()
    job = Job.objects.get()
    staff = Client()
    staff.force_login(factories.staff("manager"))
    staff.post("/workshop/calendar/new/")
    address = CalendarAddress.objects.get()
    text = everything()
    for token in (job.token, job.spec.token, job.spec.share_token, address.token):
        assert token not in text
        assert digest_of(token) in text
    # The mail that went out has the key all the same, and so has every later one.
    (sent,) = [one for one in mail.outbox if one.to == [job.revision.email]]
    assert f"/job/{job.token}/" in sent.body
    assert "[private-link]" not in sent.body + sent.alternatives[0][0]
    assert Client().get(f"/calendar/{address.token}.ics").status_code == 200
    assert visitor.client.get(visitor.url)["Location"] == f"/job/{job.token}/"


@pytest.mark.long
@pytest.mark.django_db
def test_the_browser_that_sent_is_led_on_until_the_link_is_renewed(visitor: Visitor) -> None:
    visitor.send()
    job = Job.objects.get()
    assert visitor.client.get(visitor.url)["Location"] == f"/job/{job.token}/"
    renew_link(job_id=job.pk, by="system")
    job.refresh_from_db()
    page = visitor.client.get(visitor.url)
    assert page.status_code == 200
    assert job.token not in page.content.decode()


@pytest.mark.long
@pytest.mark.django_db
def test_another_secret_makes_new_keys_and_the_links_given_out_work_on(settings: Any) -> None:
    factories.make_workshop()
    job = factories.job()
    given_out = job.token
    settings.SECRET_KEY = "another secret of another machine, forty-two characters"
    again = Job.objects.get()
    assert again.token != given_out
    for token in (given_out, again.token):
        assert Client().get(f"/job/{token}/").status_code == 200
    renew_link(job_id=job.pk, by="system")
    for token in (given_out, again.token):
        assert Client().get(f"/job/{token}/").status_code == 404


def test_a_token_is_what_rfc_2104_makes_of_its_nonce(settings: Any) -> None:
    """HMAC-SHA-256 worked out by its definition (RFC 2104, 2), the key as Django derives it."""
    settings.SECRET_KEY = "s" * 50
    key = hashlib.sha256(b"kerbline.link.job" + settings.SECRET_KEY.encode()).digest().ljust(64, b"\0")
    inner = hashlib.sha256(bytes(b ^ 0x36 for b in key) + b"nonce").digest()
    outer = hashlib.sha256(bytes(b ^ 0x5C for b in key) + inner).hexdigest()
    made = token_of("job", "nonce")
    assert base64.urlsafe_b64decode(made).hex() == outer[:48]
    assert token_of("share", "nonce") != made


@pytest.mark.long
@pytest.mark.django_db
def test_a_shared_link_is_taken_back_before_and_after_sending(visitor: Visitor) -> None:
    shown = f"/share/{visitor.spec.share_token}/"
    assert Client().get(shown).status_code == 200
    visitor.post(do="unshare")
    assert Client().get(shown).status_code == 404
    shown = f"/share/{visitor.spec.share_token}/"
    assert shown in visitor.page()
    visitor.send()
    assert Client().get(shown).status_code == 200
    assert visitor.client.post(f"/job/{Job.objects.get().token}/unshare/").status_code == 302
    assert Client().get(shown).status_code == 404
    assert Client().get(f"{shown}card.png").status_code == 404


@pytest.mark.long
@pytest.mark.django_db
def test_a_device_forgets_its_visitor_and_links_work_on(visitor: Visitor) -> None:
    visitor.page()
    assert visitor.url in visitor.client.get("/").content.decode()
    answer = visitor.client.post("/forget-device/", follow=True)
    assert answer.redirect_chain
    assert "no longer knows" in answer.content.decode()
    assert visitor.url not in visitor.client.get("/").content.decode()
    assert Session.objects.count() == 0
    assert visitor.client.get(visitor.url).status_code == 200


BEFORE = [("configurator", "0009_drafts_and_history"), ("shop", "0016_jobs_entered_by_hand")]


@pytest.mark.services  # back through all migrations since and forth again: where they are gone through anyway
@pytest.mark.django_db(transaction=True)
def test_links_given_out_before_the_change_open_what_they_opened() -> None:
    """The tables as they were, with tokens in them; then the migrations, and the old links are followed."""
    factories.make_workshop()
    job = factories.job()
    photo = Photo.objects.create(spec=job.spec)
    user = factories.staff("manager")
    executor = MigrationExecutor(connection)
    leaves = executor.loader.graph.leaf_nodes()
    try:
        executor.migrate(BEFORE)
        old = MigrationExecutor(connection).loader.project_state(BEFORE).apps
        old.get_model("configurator", "Spec").objects.update(token="B" * 32, share_token="S" * 32)
        old.get_model("shop", "Job").objects.update(token="J" * 32)
        old.get_model("shop", "CalendarAddress").objects.create(
            user_id=user.pk, token="C" * 43, language="de"
        )
        old.get_model("shop", "OutgoingMail").objects.update(text=f"/job/{'J' * 32}/", html=f"{'J' * 32}")
    finally:
        MigrationExecutor(connection).migrate(leaves)
    client = Client()
    spec, job = Spec.objects.get(), Job.objects.get()
    for path in (
        f"/share/{'S' * 32}/",
        f"/job/{'J' * 32}/",
        f"/calendar/{'C' * 43}.ics",
        f"/build/{'B' * 32}/",
    ):
        # The catalogue is empty here, so the build is found and its vehicle is gone.
        assert client.get(path).status_code == (410 if "/build/" in path else 200), path
    assert client.get(f"/job/{'J' * 32}/photo/{photo.token}/small/").status_code == 404
    assert client.get(f"/job/{job.token}/").status_code == 200
    assert spec.token != "B" * 32
    assert "J" * 32 not in everything()
    assert {mail.text for mail in OutgoingMail.objects.all()} <= {"/job/[private-link]/"}
    renew_link(job_id=job.pk, by="system")
    assert client.get(f"/job/{'J' * 32}/").status_code == 404
