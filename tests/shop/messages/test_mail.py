"""Mail: a row first, each once, safe in its headers, tried again when it fails."""

from __future__ import annotations

import email
import email.policy
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core import mail as outbox_of_tests
from django.utils import timezone
from PIL import Image

from configurator.builds.selection import Selection
from configurator.models import OutboxEntry, Workshop
from configurator.outbox import service as outbox
from shop.jobs.links import tracking_url
from shop.jobs.service import cancel, decline, take_into_review
from shop.messages import delivery
from shop.messages.letters import LETTERS
from shop.messages.models import OutgoingMail
from shop.messages.writing import one_line, write_job_mail
from shop.money.refunds import decide_refund
from shop.money.service import book_payment
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def workshop(request: Any) -> Workshop | None:
    """Return the invented workshop that writes, unless the demonstration brings its own."""
    if "demo_catalogue" in request.fixturenames:
        return None
    return factories.make_workshop()


@pytest.fixture
def kept(django_capture_on_commit_callbacks: Any) -> Any:
    """Run what a block promised, as after its commit."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


def to_customers() -> list[Any]:
    """What was sent, but for what the workshop is told (``test_news``)."""
    return [each for each in outbox_of_tests.outbox if each.to == ["ida@customer.example"]]


def test_sending_a_build_mails_the_confirmation_with_the_private_link(kept: Any) -> None:
    with kept():
        job = factories.job()

    row = OutgoingMail.objects.get()
    (sent,) = to_customers()
    assert len(outbox_of_tests.outbox) == 2  # the workshop is told, too
    assert (row.state, row.kind, row.to) == ("sent", "confirmation", "ida@customer.example")
    assert row.sent_at is not None
    assert sent.subject == f"We have your build: {job.number}"
    assert tracking_url(job) in sent.body
    assert "Wheels A 8 x 18" in sent.body
    assert "nothing is to be paid before you and we have agreed" in " ".join(sent.body.split())
    assert "€1,190.00" in sent.body
    assert sent.reply_to == ["desk@workshop.example"]
    (html, kind), *_more = sent.alternatives
    assert kind == "text/html"
    assert tracking_url(job) in html


def promised() -> OutboxEntry:
    """The promise to send the one mail there is."""
    return OutboxEntry.objects.get(kind="mail")


def due(**changes: Any) -> OutboxEntry:
    """The same, waiting and due now."""
    changes = {"state": "waiting", "next_attempt_at": timezone.now()} | changes
    OutboxEntry.objects.filter(kind="mail").update(**changes)
    return promised()


def test_a_promise_kept_twice_and_a_row_delivered_twice_send_one_mail(kept: Any) -> None:
    with kept():
        factories.job()
    entry = OutboxEntry.objects.get(kind="job_mail")

    with kept():
        write_job_mail(entry.payload)
    assert outbox.keep(entry.pk) is False
    assert outbox.keep(promised().pk) is False
    assert outbox.keep(due().pk) is True  # the mark was lost: the row still knows that it was sent
    assert outbox.sweep() == 0

    assert OutgoingMail.objects.count() == 1
    assert len(to_customers()) == 1


def test_a_mail_that_fails_waits_and_is_sent_by_the_sweep(kept: Any, monkeypatch: Any) -> None:
    def broken(self: Any, *args: Any, **kwargs: Any) -> None:
        raise ConnectionRefusedError("no server")

    with monkeypatch.context() as patch:
        patch.setattr("django.core.mail.EmailMultiAlternatives.send", broken)
        with kept():
            factories.job()
    row = OutgoingMail.objects.get()
    assert (row.state, row.error) == ("waiting", "ConnectionRefusedError: no server")
    assert promised().attempts == 1
    assert outbox.sweep() == 0  # not due yet

    due()
    assert outbox.sweep() == 1
    row.refresh_from_db()
    assert (row.state, row.error, promised().attempts) == ("sent", "", 2)


def test_a_mail_is_given_up_after_eight_tries_and_can_be_tried_again(kept: Any, monkeypatch: Any) -> None:
    def broken(self: Any, *args: Any, **kwargs: Any) -> None:
        raise TimeoutError

    with monkeypatch.context() as patch:
        patch.setattr("django.core.mail.EmailMultiAlternatives.send", broken)
        with kept():
            factories.job()
        assert outbox.keep(due(attempts=7).pk) is False
    row = OutgoingMail.objects.get()
    assert (row.state, promised().state) == ("failed", "failed")
    assert outbox.sweep() == 1  # the workshop is told of it, and nothing else

    with kept():
        assert delivery.try_again(row.pk) is True
        assert delivery.try_again(row.pk) is False
    row.refresh_from_db()
    assert row.state == "sent"
    assert len(to_customers()) == 1


def test_a_worker_that_died_leaves_a_claim_that_runs_out(kept: Any) -> None:
    with kept():
        factories.job()
    OutgoingMail.objects.update(state="waiting")  # the server said yes, our mark was lost
    entry = due(next_attempt_at=timezone.now() + timedelta(minutes=5))

    assert outbox.keep(entry.pk) is False
    assert outbox.keep(due().pk) is True
    ids = {message.extra_headers["Message-ID"] for message in to_customers()}
    assert len(to_customers()) == 2
    assert len(ids) == 1  # both copies are known for the same mail


def test_no_text_of_a_customer_can_end_a_header(kept: Any) -> None:
    """RFC 5322, 2.2: a header field ends at CRLF; nobody's words may carry one into it."""
    assert one_line("Hello\r\nBcc: all@example.org") == "Hello Bcc: all@example.org"
    assert one_line("a\u2028b\x00c\x85d") == "a b c d"
    assert len(one_line("x" * 999)) == 150
    with kept():
        job = factories.job()
        decline_text = "No.\r\nBcc: someone@else.example\r\n\r\n<script>alert(1)</script>"
        take_into_review(job_id=job.pk, by=factories.staff("reviewer"))
        decline(job_id=job.pk, by=factories.staff("manager"), why=decline_text)
    sent = next(m for m in to_customers() if "cannot do" in m.subject)
    parsed = email.message_from_bytes(sent.message().as_bytes(), policy=email.policy.default)
    assert parsed["Bcc"] is None
    html = parsed.get_body(("html",)).get_content()
    assert "<script>" not in html
    assert "&lt;script&gt;" in html


def test_every_mail_that_the_code_promises_has_its_words() -> None:
    """Read the promises out of the source, so that a new one cannot be forgotten here."""
    import re
    from pathlib import Path

    import shop
    from shop.wanted.letters import LETTERS as ON_REQUESTS

    source = "\n".join(path.read_text() for path in Path(shop.__file__).parent.rglob("*.py"))
    promised = set(re.findall(r'mail="(\w+)"', source)) | set(
        re.findall(r'promise_mail\(\s*\w+,\s*"(\w+)"', source)
    )
    assert {"confirmation", "booked", "ready", "deposit_reminder"} <= promised
    assert promised <= LETTERS.keys() | ON_REQUESTS.keys()


def test_moves_without_a_mail_of_their_own_are_told_as_well(kept: Any) -> None:
    reviewer = factories.staff("reviewer")
    with kept():
        job = factories.job()
        take_into_review(job_id=job.pk, by=reviewer)
        take_into_review(job_id=job.pk, by=reviewer)
        cancel(job_id=job.pk, by="customer", why="Sold the van.")
    kinds = list(OutgoingMail.objects.values_list("kind", flat=True))
    assert kinds == ["confirmation", "in_review", "cancelled"]
    assert "Sold the van." in OutgoingMail.objects.get(kind="cancelled").text


@pytest.mark.long
def test_a_refund_is_told_once_with_what_goes_back_and_why(kept: Any) -> None:
    with kept():
        job = factories.job(state="deposit_due")
        day = timezone.localdate()
        book_payment(job_id=job.pk, amount=Decimal(300), received_on=day, method="cash", by=None)
        cancel(job_id=job.pk, by="customer", why="Sold the van.")
    manager = factories.staff("manager")
    with kept():
        for _press in range(2):
            decide_refund(
                job_id=job.pk, amount=Decimal(260), why="One panel is painted.", by=manager, press="a"
            )

    called_off = OutgoingMail.objects.get(kind="cancelled")
    assert "We hold €300.00 of yours" in called_off.text
    mail = OutgoingMail.objects.get(kind="refund")
    for words in ("Goes back to you: €260.00", "Kept: €40.00", "One panel is painted."):
        assert words in mail.text


@pytest.mark.long
def test_the_picture_of_the_vehicle_travels_inside_the_mail(kept: Any, demo_catalogue: Any) -> None:
    """RFC 2387 and RFC 2392: the HTML points at a part of the same related body by its Content-ID."""
    selection = Selection(generation="haldor-2", body_finish="quay-blue")
    with kept():
        factories.job(factories.evaluation(selection=selection))

    raw = to_customers()[0].message().as_bytes()
    parsed = email.message_from_bytes(raw, policy=email.policy.default)
    html = parsed.get_body(("html",)).get_content()
    (picture,) = [part for part in parsed.walk() if part.get_content_type() == "image/png"]
    cid = picture["Content-ID"].strip("<>")
    assert parsed.get_content_type() == "multipart/related"
    assert f'src="cid:{cid}"' in html
    assert picture.get_content_disposition() == "inline"
    with Image.open(BytesIO(picture.get_content())) as drawn:
        assert drawn.format == "PNG"
        assert drawn.width == 1104
    assert parsed.get_body(("plain",)) is not None


def test_a_vehicle_without_a_drawing_gets_a_mail_without_a_hole(kept: Any) -> None:
    with kept():
        factories.job()
    html = OutgoingMail.objects.get().html
    assert "<img" not in html
    assert OutgoingMail.objects.get().revision is None
