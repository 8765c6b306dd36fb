"""Customers as records: jobs joined without guessing, merges said and undone, found, exported, forgotten."""

from __future__ import annotations

import json
import zipfile
from io import BytesIO

import pytest
from django.test import Client

from configurator.models import SpecRevision
from shop.customers.joining import join, join_waiting
from shop.customers.merging import MergeError, merge, proposals, say_two, unmerge
from shop.customers.models import Customer, CustomerJob, Fact
from shop.customers.selectors import listed, whole
from shop.jobs.opening import open_job
from shop.models import Job
from shop.money.ledger import refresh
from shop.privacy.exporting import export
from shop.privacy.finding import kept_about
from shop.privacy.forgetting import forget
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop() -> None:
    factories.make_workshop()


def job_of(name: str = "Ida Sommer", email: str = "ida@customer.example", **told: str) -> Job:
    told = {"registration": "", "phone": "", "vin": ""} | told
    return open_job(revision=factories.revision(name=name, email=email, **told))


def customer_of(job: Job) -> Customer:
    return CustomerJob.objects.get(job=job).customer


def test_the_same_name_and_a_way_of_reaching_them_is_one_customer() -> None:
    first = job_of(phone="+49 171 123 45 67", registration="XB-AB 12")
    for again in (
        job_of(email="IDA@customer.example", registration="XB-CD 3"),
        job_of(email="new@customer.example", phone="0171 1234567"),
        job_of(email="third@customer.example", name="IDA  SOMMER", registration="xb ab 12"),
    ):
        assert customer_of(again) == customer_of(first)
    facts = set(Fact.objects.values_list("kind", "key"))
    assert ("plate", "xbcd3") in facts
    assert ("phone", "711234567") in facts
    assert len([key for kind, key in facts if kind == "mail"]) == 3
    assert join(first) == customer_of(first)  # twice is once
    assert CustomerJob.objects.count() == 4


def test_a_shared_address_under_another_name_is_proposed_and_not_joined() -> None:
    ida, ben = job_of(), job_of(name="Ben Sommer")
    one, two = customer_of(ida), customer_of(ben)
    assert one != two
    (pair,) = proposals()
    assert {pair.first, pair.second} == {one, two}
    assert [fact.key for fact in pair.shared] == ["ida@customer.example"]
    assert len(proposals(of=two)) == 1
    say_two(one_id=two.pk, other_id=one.pk)
    assert proposals() == []


def test_one_name_alone_and_a_plate_alone_join_nobody() -> None:
    a, b = job_of(registration="XB AB 1"), job_of(email="other@customer.example")
    c = job_of(name="Ben Winter", email="ben@customer.example", registration="XB AB 1")
    assert len({customer_of(job).pk for job in (a, b, c)}) == 3
    assert proposals() == []  # a plate goes on to the next owner


def test_a_merge_takes_all_over_and_its_undoing_gives_all_back() -> None:
    ida, ben = job_of(), job_of(name="I. Sommer", registration="XB EF 9")
    kept, gone = customer_of(ida), customer_of(ben)
    before = sorted(Fact.objects.values_list("customer", "kind", "key"))
    row = merge(kept_id=kept.pk, gone_id=gone.pk, by=None)
    assert merge(kept_id=kept.pk, gone_id=gone.pk, by=None) == row
    assert customer_of(ben) == kept
    assert list(listed()) == [kept]
    assert proposals() == []
    third = job_of(registration="XB GH 1")  # comes while they are one, and stays
    assert unmerge(merge_id=row.pk)
    assert not unmerge(merge_id=row.pk)
    assert (customer_of(ben), customer_of(third)) == (gone, kept)
    after = sorted(Fact.objects.exclude(key="xbgh1").values_list("customer", "kind", "key"))
    assert after == before
    assert len(proposals()) == 1


def test_a_merged_record_is_not_merged_again_and_is_parted_in_turn() -> None:
    a, b, c = (customer_of(job_of(name=name)) for name in ("Ida A", "Ida B", "Ida C"))
    first = merge(kept_id=a.pk, gone_id=b.pk, by=None)
    with pytest.raises(MergeError, match="meanwhile"):
        merge(kept_id=b.pk, gone_id=c.pk, by=None)
    second = merge(kept_id=c.pk, gone_id=a.pk, by=None)
    with pytest.raises(MergeError, match="undo that first"):
        unmerge(merge_id=first.pk)
    assert unmerge(merge_id=second.pk)
    assert unmerge(merge_id=first.pk)


def test_money_of_all_jobs_is_added_up() -> None:
    one, two = job_of(), job_of()
    for job in (one, two):
        Job.objects.filter(pk=job.pk).update(state="deposit_due")
        refresh(Job.objects.get(pk=job.pk))
    found = whole(customer_of(one))
    assert [row.job for row in found.jobs] == [two, one]
    assert found.owed == sum(row.owed for row in found.jobs) > 0
    assert found.held == 0


def test_jobs_from_before_are_joined_by_a_promise() -> None:
    jobs = [job_of(), job_of()]
    CustomerJob.objects.all().delete()
    Customer.objects.all().delete()
    join_waiting({})
    assert customer_of(jobs[0]) == customer_of(jobs[1])


def test_forgetting_empties_the_record_and_giving_out_tells_it() -> None:
    job = job_of(registration="XB AB 12")
    Job.objects.filter(pk=job.pk).update(state="handed_over")
    Customer.objects.update(note="likes coffee")
    with zipfile.ZipFile(BytesIO(export(kept_about("ida@customer.example")))) as archive:
        told = json.loads(archive.read("everything.json"))
    assert told["records"][0]["note"] == "likes coffee"
    forget(email="ida@customer.example", by=factories.staff("manager"), why="asked by mail")
    customer = Customer.objects.get()
    assert (customer.name, customer.note, Fact.objects.count()) == ("forgotten", "", 0)


def test_forgetting_one_address_leaves_what_other_jobs_tell() -> None:
    ida, ben = job_of(), job_of(name="I. Sommer", email="work@customer.example", registration="XB EF 9")
    kept = customer_of(ida)
    merge(kept_id=kept.pk, gone_id=customer_of(ben).pk, by=None)
    Job.objects.update(state="handed_over")
    forget(email="ida@customer.example", by=factories.staff("manager"), why="asked by mail")
    kept.refresh_from_db()
    assert kept.name == "I. Sommer"
    assert set(kept.facts.values_list("key", flat=True)) == {"work@customer.example", "xbef9"}


@pytest.mark.long
def test_the_pages() -> None:
    ida, ben = job_of(registration="XB AB 12"), job_of(name="Ben Sommer")
    one, two = customer_of(ida), customer_of(ben)
    client = Client()
    client.force_login(factories.staff("reviewer"))
    assert "Ida Sommer" in client.get("/workshop/customers/", {"q": "xb-ab 12"}).text
    assert "No customer goes by that" in client.get("/workshop/customers/", {"q": "nobody"}).text
    at = f"/workshop/customers/{one.pk}/"
    page = client.get(at)
    assert ida.number in page.text
    assert "Ben Sommer" in page.text  # may be one with
    assert client.post(at, {"note": "rings back"}).status_code == 302
    found = client.get("/workshop/jobs/", {"q": "xb ab 12"})
    assert at in found.text
    entry = client.get("/workshop/jobs/new/", {"customer": one.pk})
    assert 'value="ida@customer.example"' in entry.text
    assert 'value="XB AB 12"' in entry.text
    assert client.get("/workshop/jobs/new/", {"customer": "1' or"}).status_code == 200
    said = client.post("/workshop/customers/decide/", {"kept": one.pk, "gone": two.pk})
    assert said.url == at
    assert client.get(f"/workshop/customers/{two.pk}/").url == at
    merged = one.merges.get()
    assert client.post(f"/workshop/customers/part/{merged.pk}/").url == at
    assert (
        client.post("/workshop/customers/decide/", {"kept": one.pk, "gone": two.pk, "two": 1}).status_code
        == 302
    )
    assert "Nothing to decide" in client.get("/workshop/customers/same/").text
    assert client.post("/workshop/customers/decide/", {"kept": "x"}).status_code == 302


def test_a_contact_that_is_corrected_is_known_of_the_customer() -> None:
    job = job_of()
    SpecRevision.objects.filter(pk=job.revision_id).update(phone="0221 4711 999")
    join(Job.objects.get(pk=job.pk))
    assert customer_of(job).facts.get(kind="phone").key == "214711999"
