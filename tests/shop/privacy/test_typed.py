"""Every text about a job is emptied with its customer or kept for a reason that stands here."""

from __future__ import annotations

from typing import Any

import pytest
from django.apps import apps
from django.core import serializers
from django.db.models import CharField, Model, TextField

from configurator.models import OutboxEntry, Spec
from shop.jobs import bookin, service
from shop.jobs.models import Job, Measurement
from shop.jobs.models_bookin import BookIn, ConditionMark
from shop.jobs.models_lines import Proposal
from shop.messages.models import OutgoingMail
from shop.messages.models_news import News
from shop.money.models import BillingAddress
from shop.planning.models import BrokenPromise, DateWish
from shop.privacy.forgetting import forget
from shop.privacy.typed import TYPED
from shop.site.backup import kept_models
from shop.vehicles.models import AxleReading
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)
IDA = "ida@customer.example"
SAID = "as Frau Zbirowska said"
NAMED = "Zbirowska"

# Columns that can hold a sentence and are not in ``typed.TYPED``: what becomes of each.
ELSEWHERE = {
    "Spec.back_to": "a link within the site",
    "SpecRevision.name SpecRevision.email SpecRevision.notes SpecRevision.vin_warning": "emptied: who it was",
    "SpecRevision.terms_text PendingSend.terms_text": "the workshop's own terms",
    "SpecRevision.made_by Job.last_who HistoryEntry.who AxleReading.disputed_by": "who of the staff",
    "Photo.label Photo.message": "deleted with the photo",
    "PendingSend.email NewAddress.email": "deleted",
    "Job.on_hold_reason": "emptied",
    "JobWords.text": "written anew from what is left",
    "JobOperation.key JobOperation.name JobOperation.caution": "the work, from the catalogue",
    "HistoryEntry.why": "emptied",
    "Entry.vehicle JobLine.label": "what the work was done to and what it was, as on the invoice",
    "Proposal.said_by Proposal.answer": "emptied",
    "OutgoingMail.key News.key": "keys of rows",
    "OutgoingMail.to OutgoingMail.subject OutgoingMail.text OutgoingMail.html Message.text": "emptied",
    "BillingAddress.name BillingAddress.extra BillingAddress.street": "deleted, unless an invoice went there",
    "DepositRequest.why Payment.note Refund.why Refund.withdrawn_why Reduction.why Settlement.why": "books",
    "JobPart.sku JobPart.name JobPart.supplier_name JobPart.where JobPart.why": "goods, from the catalogue",
    "Shortage.sku Lack.sku ShortageMark.sku StockMovement.sku Reservation.sku": "goods",
    "StockMovement.note": "books of the shelf",
    "ShowingConsent.words ShowingConsent.note": "deleted",
    "AxleReading.note AxleReading.disputed_why": "emptied by the vehicles' own room",
}


def leads_to_a_job(model: Any, depth: int = 3) -> bool:
    """Whether a row of it belongs to a job, by keys."""
    if model in (Job, Spec):
        return True
    keys = {field.related_model for field in model._meta.concrete_fields if field.is_relation} - {model}
    return depth > 0 and any(leads_to_a_job(each, depth - 1) for each in keys)


def texts(model: type[Model]) -> set[str]:
    """Return the columns that hold more than a code."""
    return {
        f"{model.__name__}.{field.name}"
        for field in model._meta.concrete_fields
        if isinstance(field, CharField | TextField) and not field.choices and (field.max_length or 100) >= 100
    }


def test_every_column_that_holds_a_text_about_a_job_is_accounted_for() -> None:
    ours = [model for model in apps.get_models() if model._meta.app_label in ("configurator", "shop")]
    found = {name for model in ours if leads_to_a_job(model) for name in texts(model)}
    emptied = {f"{model.__name__}.{field}" for model, _way, fields in TYPED for field in fields}
    elsewhere = {name for names in ELSEWHERE for name in names.split()}
    assert emptied & elsewhere == set()
    assert found == emptied | elsewhere


def write_everywhere(job: Job, by: Any) -> None:
    """Have somebody named wherever staff or the customer may write."""
    service.hold(job_id=job.pk, by=by, reason=SAID)
    job.spec.revisions.update(why=SAID)
    job.operations.update(reason=SAID, note=SAID)
    BookIn.objects.filter(job=job).update(mileage_why=SAID, photos_why=SAID, note=SAID)
    bookin.add_mark(job_id=job.pk, by=by, view="left", square="C4", kind="scratch", note=SAID)
    measured = {"axle": "front", "check_id": "brake_clearance", "value": 5, "uncertainty": 1, "margin": 2}
    Measurement.objects.create(job=job, revision=job.revision, verdict="fits", note=SAID, by=by, **measured)
    Proposal.objects.create(job=job, number=1, why=SAID, said_by=SAID, answer=SAID, press="p", state="agreed")
    DateWish.objects.create(job=job, days=[], note=SAID)
    BrokenPromise.objects.create(job=job, because="parts", note=SAID)
    at = {"street": "Am Wehr 1", "postcode": "1", "town": "T", "country": "DE"}
    BillingAddress.objects.create(job=job, name=NAMED, **at)
    AxleReading.objects.create(
        generation="haldor-2", position="front", field="arch_lip_mm", value=101, how="job", note=SAID, by=by,
        job=job, disputed_why=SAID,
    )  # fmt: skip
    mail = OutgoingMail.objects.filter(job=job).earliest("pk")
    OutgoingMail.objects.filter(pk=mail.pk).update(state="failed", error=f"550 {NAMED}@customer.example")
    promises = OutboxEntry.objects.filter(kind__in=("mail", "job_mail"))
    promises.update(state="failed", last_error=f"550 {NAMED}@customer.example")
    News.objects.create(key="stuck:1", kind="stuck", job=job, said={"error": SAID, "mail": mail.pk})
    OutboxEntry.objects.create(
        kind="job_links", key="l", payload={"email": IDA.title()}, next_attempt_at=job.opened_at
    )


@pytest.fixture
def forgotten() -> Job:
    """A job in whose rows a person is named all over, after its customer was forgotten."""
    factories.make_workshop()
    manager = factories.staff("manager", name="anke")
    job = factories.job(state="in_the_bay")
    write_everywhere(job, manager)
    service.release(job_id=job.pk, by=manager)
    service.hold(job_id=job.pk, by=manager, reason=SAID)
    Job.objects.filter(pk=job.pk).update(state="cancelled")
    assert everything().count(NAMED) > 20
    forget(email=IDA, by=manager, why="asked by letter")
    return Job.objects.get(pk=job.pk)


def everything() -> str:
    return "".join(serializers.serialize("json", model._base_manager.all()) for model in kept_models())


@pytest.mark.long
def test_nobody_is_named_in_what_anybody_typed(forgotten: Job) -> None:
    text = everything()
    assert NAMED not in text, text.partition(NAMED)[0][-600:]
    assert IDA not in text.lower()


@pytest.mark.long
def test_what_was_done_and_found_stays(forgotten: Job) -> None:
    mark = ConditionMark.objects.get()
    assert (mark.view, mark.square, mark.kind, mark.note) == ("left", "C4", "scratch", "–")
    assert {step.reason for step in forgotten.operations.all()} == {"–"}  # there was one
    assert (Measurement.objects.get().value, AxleReading.objects.get().value) == (5, 101)
    assert BookIn.objects.get().mileage_km == 43_210
    assert not forgotten.is_held
    entries = list(forgotten.history.values_list("action", "who", "why"))
    assert ("job.held", "anke", "") in entries
    assert entries[-1] == ("customer.forgotten", "anke", "asked by letter")


@pytest.mark.long
def test_forgotten_once_more_the_reason_for_forgetting_stays(forgotten: Job) -> None:
    # A second address of the same job, given later.
    forgotten.spec.revisions.update(email="second@customer.example")
    forget(email="second@customer.example", by="system", why="and that one")
    whys = forgotten.history.filter(action="customer.forgotten").values_list("why", flat=True)
    assert list(whys) == ["asked by letter", "and that one"]


def test_texts_that_are_empty_stay_empty() -> None:
    job = factories.job(state="cancelled")
    forget(email=IDA, by="system", why="asked")
    assert set(job.operations.values_list("reason", "note")) == {("", "")}
