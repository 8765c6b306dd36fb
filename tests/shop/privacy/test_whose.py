"""Whose a thing is: what is given out and forgotten is one person's, all of it, and nobody else's."""

from __future__ import annotations

import io
import json
import zipfile
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.files.base import ContentFile
from django.utils import timezone

from configurator.models import OutboxEntry, PendingSend, Spec
from shop.jobs.opening import open_job
from shop.messages.reminders import remind_all
from shop.messages.writing import write_job_mail
from shop.models import BillingAddress, DateWish, Invoice, Job, OutgoingMail, Paper
from shop.privacy.exporting import export
from shop.privacy.finding import kept_about
from shop.privacy.forgetting import forget, purge
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)
IDA = "ida@customer.example"


@pytest.fixture
def manager() -> Any:
    return factories.staff("manager", name="anke")


def given_out() -> tuple[dict[str, Any], dict[str, bytes]]:
    archive = zipfile.ZipFile(io.BytesIO(export(kept_about(IDA))))
    files = {name: archive.read(name) for name in archive.namelist()}
    return json.loads(files.pop("everything.json")), files


def invoice_paper(job: Job, number: str, pk: int) -> Paper:
    day, one = timezone.localdate(), dict.fromkeys(("net", "gross"), 1)
    nothing = dict.fromkeys(("tax", "tax_rate_pct", "rounding", "prepaid"), 0)
    row = Invoice(
        pk=pk, job=job, number=number, kind="invoice", issued_on=day, supplied_on=day, currency="EUR",
        content={}, press=number, **one, **nothing,
    )  # fmt: skip
    Invoice.objects.bulk_create([row])
    paper = Paper(kind=Paper.Kind.INVOICE, about=pk, digest="x")
    paper.file.save("a.pdf", ContentFile(f"%PDF {number}".encode()), save=True)
    return paper


@pytest.mark.long
def test_an_invoice_with_the_number_of_a_job_is_somebody_elses(manager: Any) -> None:
    """Papers of invoices go by the invoice's key, papers of jobs by the job's: two rows of numbers."""
    factories.make_workshop()
    hers, other = factories.job(), open_job(revision=factories.revision(email="otto@customer.example"))
    theirs = invoice_paper(other, "R-2", pk=hers.pk)
    own = invoice_paper(hers, "R-1", pk=hers.pk + other.pk + 1)
    _told, files = given_out()
    assert files == {"papers/R-1.pdf": b"%PDF R-1"}
    Job.objects.filter(pk=hers.pk).update(state="handed_over")
    forget(email=IDA, by=manager, why="asked")
    # Neither goes: the one is not hers, the other belongs to the books.
    for paper in (theirs, own):
        assert Paper.objects.filter(pk=paper.pk).exists()
        assert paper.file.storage.exists(paper.file.name)


def test_address_wishes_and_photos_of_the_work_are_given_out_too() -> None:
    factories.make_workshop()
    job = factories.job()
    BillingAddress.objects.create(
        job=job, name="Ida Holm", street="Weidenweg 4", postcode="10000", town="Aue"
    )
    DateWish.objects.create(job=job, days=["2027-01-04"], note="only after school")
    step = job.operations.first()
    step.note = "as she showed"
    step.photo.save("a.jpg", ContentFile(b"jpeg of her door"), save=True)
    told, files = given_out()
    (one,) = told["jobs"]
    assert one["billing_address"][0]["street"] == "Weidenweg 4"
    assert one["date_wishes"][0]["note"] == "only after school"
    shown = next(row for row in one["operations"] if row.get("file"))
    assert (shown["note"], files[shown["file"]]) == ("as she showed", b"jpeg of her door")


def test_a_build_that_waits_for_its_link_is_found_by_the_address_it_waits_for(manager: Any) -> None:
    spec = Spec.objects.create(selection={}, catalogue_version=1)
    PendingSend.objects.create(
        spec=spec, email=IDA, contact={"name": "Ida"}, selection={}, expires_at=timezone.now()
    )
    told, _files = given_out()
    assert told["builds"][0]["waiting"][0]["contact"] == {"name": "Ida"}
    forget(email=IDA.upper(), by=manager, why="asked")
    assert not Spec.objects.filter(pk=spec.pk).exists()


@pytest.mark.long
def test_nobody_writes_to_who_was_forgotten(manager: Any) -> None:
    """Mail that waits is taken back, and neither a late promise nor a reminder makes a new one."""
    factories.make_workshop()
    job = factories.job()
    Job.objects.filter(pk=job.pk).update(
        state="handed_over", recheck_due_on=timezone.localdate() - timedelta(days=1)
    )
    waiting = OutgoingMail.objects.create(
        key="k", job=job, kind="dates", language="en", to=IDA, subject="s", text="t"
    )
    OutboxEntry.objects.create(
        kind="mail", key=f"mail:{waiting.pk}", payload={"mail_id": waiting.pk}, next_attempt_at=timezone.now()
    )
    forget(email=IDA, by=manager, why="asked")
    assert not OutgoingMail.objects.filter(pk=waiting.pk).exists()
    assert not OutboxEntry.objects.filter(key=f"mail:{waiting.pk}").exists()
    mail.outbox.clear()
    assert remind_all() == 0
    write_job_mail({"template": "recheck_reminder", "job_id": job.pk})
    assert mail.outbox == []
    assert not OutgoingMail.objects.exclude(state="sent").exists()


def test_the_text_of_a_mail_that_was_given_up_is_kept_no_longer_than_of_one_that_went_out(
    settings: Any,
) -> None:
    factories.make_workshop()
    job = factories.job()
    since = timezone.now() - timedelta(days=settings.RETENTION_DAYS["mail_text"] + 1)
    Job.objects.filter(pk=job.pk).update(state="handed_over", state_since=since)
    for state in ("sent", "failed"):
        OutgoingMail.objects.create(
            key=state, job=job, kind="dates", language="en", to=IDA, subject="s", text="t", state=state
        )
    purge()
    assert not OutgoingMail.objects.filter(key="failed").exists()
    assert OutgoingMail.objects.get(key="sent").text == ""
