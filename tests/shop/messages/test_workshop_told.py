"""The workshop is told in its inbox of a mail that was given up, and its own mail goes nowhere else."""

from __future__ import annotations

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from shop.jobs.inbox import inbox
from shop.messages.conversation import write_as_customer
from shop.models import OutgoingMail
from tests.shop import factories

pytestmark = pytest.mark.django_db


def test_without_an_address_of_the_workshop_nobody_else_gets_its_mail(
    django_capture_on_commit_callbacks,
) -> None:
    factories.make_workshop(email="")
    job = factories.job()
    with django_capture_on_commit_callbacks(execute=True):
        write_as_customer(job_id=job.pk, text="Hello?", press="k")
    assert "customer_wrote" not in [each.kind for each in OutgoingMail.objects.all()]
    assert not [each for each in mail.outbox if "Hello?" in each.body]


def test_a_mail_that_was_given_up_stands_in_the_inbox_until_it_is_tried_again() -> None:
    job = factories.job(state="waiting")
    OutgoingMail.objects.all().delete()
    given_up = OutgoingMail.objects.create(
        key="a", job=job, kind="offer", language="en", to="ida@customer.example", subject="Your build",
        text="x", state="failed",
    )  # fmt: skip
    reviewer = factories.staff("reviewer")
    task = inbox(reviewer).tasks[0]
    assert (task.job, task.urgency) == (job, 1)
    assert [notice.text for notice in task.notices] == ["A mail was not sent: Your build"]
    assert task.notices[0].address == reverse("shop:job_messages", args=[job.number])
    assert inbox(factories.staff("technician")).needing == 0
    client = Client()
    client.force_login(reviewer)
    assert "A mail was not sent" in client.get(reverse("shop:job", args=[job.number])).content.decode()
    OutgoingMail.objects.filter(pk=given_up.pk).update(state="waiting")
    assert inbox(reviewer).needing == 0
