"""Each role's papers and files tell of the customer only what that role's pages tell."""

from __future__ import annotations

import io
import re
import zipfile
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from configurator.models import SpecRevision
from shop.jobs.states import STAFF_ROLES, State
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
FACTS = {
    "name": "Ida Sommerbauer",
    "email": "ida.sommerbauer@customer.example",
    "phone": "+49 171 3920023",
    "registration": "XB-QZ 4711",
    "vin": "WKXXXXXXXX4711002",
    "notes": "The dog in the yard is called Bruno.",
}
MONEY = {"price": "1.190,00|1,190.00|1190.00", "deposit": r"(?<!\d)300[.,]00"}
PAGES = ("", "papers/", "parts/", "bench/", "notes/", "money/", "messages/", "review/")
PAPERS = ("quote", "specification", "deposit", "job-sheet", "handover")


@pytest.fixture
def job(db: None) -> Job:
    factories.make_workshop()
    made = factories.job()
    SpecRevision.objects.update(**FACTS)
    Job.objects.update(
        state=State.IN_THE_BAY,
        agreed_revision=made.revision,
        workshop_agreed_revision=made.revision,
        customer_agreed_revision=made.revision,
    )
    return Job.objects.get()


def told_in(text: str) -> set[str]:
    """Return which facts about the customer a text tells."""
    plain = re.sub(r"\s+", " ", text)
    squashed = plain.replace(" ", "")
    found = {name for name, value in FACTS.items() if value.replace(" ", "") in squashed}
    return found | {name for name, pattern in MONEY.items() if re.search(pattern, plain)}


def text_of(answer: Any) -> str:
    """Return what a page, paper or file says."""
    data = b"".join(answer.streaming_content) if answer.streaming else answer.content
    if data.startswith(b"%PDF"):
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)
    if data.startswith(b"PK"):
        archive = zipfile.ZipFile(io.BytesIO(data))
        return "\n".join(archive.read(name).decode(errors="replace") for name in archive.namelist())
    return str(data.decode(errors="replace"))


def opened(client: Client, paths: list[str]) -> dict[str, set[str]]:
    """Return by address what it tells, of those that open for this person."""
    answers = {path: client.get(path) for path in paths}
    return {path: told_in(text_of(answer)) for path, answer in answers.items() if answer.status_code == 200}


@pytest.mark.long
@pytest.mark.parametrize("role", STAFF_ROLES)
def test_papers_and_files_tell_no_more_than_the_pages(role: str, job: Job, client: Client) -> None:
    states = {"buyer": State.DEPOSIT_IN}
    Job.objects.update(state=states.get(role, State.READY))
    client.force_login(factories.staff(role))
    base = f"/workshop/jobs/{job.number}/"
    pages = opened(client, [base + page for page in PAGES])
    assert pages, "this role opens no page"
    seen = set().union(*pages.values())
    files = [base + f"papers/{kind}.pdf" for kind in PAPERS]
    files += [base + "parts/northwheel.csv", base + "parts/all.zip", "/workshop/jobs/list.csv"]
    told = opened(client, files)
    assert len(told) >= 2, "this role opens no file"
    more = {path: facts - seen for path, facts in told.items() if facts - seen}
    assert not more, f"{role} sees on pages {sorted(seen)} and in papers also {more}"


@pytest.mark.long
def test_those_who_see_no_prices_get_none_in_any_paper(job: Job, client: Client) -> None:
    for role, state in (("technician", State.READY), ("buyer", State.DEPOSIT_IN)):
        Job.objects.update(state=state)
        client.force_login(factories.staff(role))
        base = f"/workshop/jobs/{job.number}/papers/"
        told = opened(client, [f"{base}{kind}.pdf" for kind in PAPERS])
        assert bool(told) == (role == "technician")
        assert not any(facts & {*MONEY, "email", "phone"} for facts in told.values()), told
