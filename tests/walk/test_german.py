"""A walk in German through every customer page, mail, paper and staff page: no English may be left over."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from decimal import Decimal
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone, translation

from configurator.builds import confirming, sending, service
from configurator.catalogue import drafts
from configurator.catalogue.snapshot import Catalogue
from configurator.models import OutboxEntry, Spec
from configurator.pages.told import told
from shop.documents.service import content_of
from shop.jobs.models import Job
from shop.jobs.states import State
from shop.messages.letters import LETTERS, Letter
from shop.messages.writing import _occasion as occasion_of
from shop.models import FinishedBuild
from shop.money.service import book_payment
from shop.opening.steps import STEPS
from shop.parts.service import place_order
from shop.showcase import consent, finishing
from tests.builds.builds import harbour_van
from tests.shop import factories
from tests.shop.tracking.conftest import jpeg
from tests.walk.english import left_over, texts_of

pytestmark = pytest.mark.django_db
GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de"}
PERSON = sending.Contact(name="Ida Sommer", email="ida@customer.example", registration="XB-AB 12")


@pytest.fixture
def spec(demo_catalogue: Catalogue) -> Spec:
    build = harbour_van()
    with translation.override("de"):
        made = service.start_build(generation=build.generation, language="de")
        service.save_build(spec_id=made.pk, selection=build)
    made.refresh_from_db()
    return made


@pytest.fixture
def job(spec: Spec, demo_catalogue: Catalogue) -> Job:
    workshop = demo_catalogue.workshop
    assert workshop is not None
    with translation.override("de"):
        sending.send_build(
            spec_id=spec.pk, contact=PERSON, terms_version="1", terms_text=told(workshop.terms)
        )
    return Job.objects.get()


def moved(job: Job, state: State) -> Job:
    """Put the job into a state, with both yeses given."""
    Job.objects.filter(pk=job.pk).update(
        state=state,
        workshop_agreed_revision=job.revision,
        customer_agreed_revision=job.revision,
        agreed_revision=job.revision,
    )
    return Job.objects.get(pk=job.pk)


def shown(client: Client, address: str) -> list[str]:
    answer = client.get(address, **GERMAN)
    assert answer.status_code == 200, address
    return left_over(texts_of(answer.content.decode()))


def listed(found: dict[str, list[str]]) -> str:
    """Return all that was found, a line each, so that nothing is cut off in a report."""
    return "\n".join(f"{address}: {text}" for address, texts in found.items() for text in texts)


@pytest.mark.long
def test_the_customers_pages(spec: Spec) -> None:
    addresses = [
        reverse("configurator:start"),
        reverse("configurator:build", args=[spec.token]),
        reverse("configurator:share", args=[spec.share_token]),
        reverse("configurator:advice", args=[spec.token, "front"]),
    ]
    found = {address: texts for address in addresses if (texts := shown(Client(), address))}
    assert not found, listed(found)


def test_the_pages_and_the_mail_of_a_build_to_be_confirmed(
    spec: Spec, settings: Any, django_capture_on_commit_callbacks: Any
) -> None:
    settings.LIMITS = {"builds": "1/hour"}
    with django_capture_on_commit_callbacks(execute=True):
        pending = confirming.ask(spec_id=spec.pk, contact=PERSON, terms_version="1", terms_text="")
    client = Client()
    addresses = [
        reverse("configurator:waiting", args=[spec.token]),
        reverse("configurator:confirm", args=[pending.token]),
    ]
    found = {address: texts for address in addresses if (texts := shown(client, address))}
    begin = reverse("configurator:begin", args=["haldor-2"])
    client.post(begin, **GERMAN)
    for answer in (client.post(begin, **GERMAN), client.post(begin, CONTENT_LENGTH="9000000", **GERMAN)):
        assert answer.status_code in (413, 429)
        found[str(answer.status_code)] = left_over(texts_of(answer.content.decode()))
    (message,) = mail.outbox
    found["mail"] = left_over([message.subject, *message.body.splitlines()])
    assert not any(found.values()), listed(found)


def test_the_page_of_what_is_stuck(job: Job) -> None:
    OutboxEntry.objects.all().delete()
    for kind in ("mail", "photo", "paper", "replan"):
        OutboxEntry.objects.create(kind=kind, key=kind, state="failed", next_attempt_at=timezone.now())
    client = Client()
    client.force_login(factories.staff("manager"))
    assert shown(client, reverse("shop:stuck")) == []


def test_the_cross_section(spec: Spec) -> None:
    answer = Client().get(reverse("configurator:section", args=[spec.token, "front"]), **GERMAN)
    assert left_over(texts_of(answer.content.decode())) == []


@pytest.mark.long
def test_the_customers_page_of_a_job_in_every_state(job: Job) -> None:
    address = reverse("tracking:job", args=[job.token])
    found = {}
    for state in State:
        moved(job, state)
        found[state.value] = shown(Client(), address)
    assert not any(found.values()), listed(found)


@pytest.mark.long
def test_the_pages_of_finished_builds(job: Job) -> None:
    moved(job, State.HANDED_OVER)
    mira = factories.staff("reviewer", "manager", name="mira")
    client = Client()
    client.force_login(mira)
    page = reverse("shop:finished_one", args=[job.number])
    tracking = reverse("tracking:job", args=[job.token])
    found = {"empty": shown(Client(), reverse("finished:index"))}
    for answer in ("declined", "given"):
        consent.answer_by_staff(job_id=job.pk, answer=answer, how="telephone", note="Anruf", by=mira)
        found[f"{answer}, staff"] = shown(client, page)
        found[f"{answer}, customer"] = shown(Client(), tracking)
    photo = finishing.add_sent(job_id=job.pk, data=jpeg().read(), side="after")
    finishing.write(
        job_id=job.pk, texts={"en": {"title": "Umbau"}, "de": {"title": "Umbau", "text": "Fertig."}}
    )
    build = FinishedBuild.objects.get()
    for name in ("prepared", "shown"):
        for address in (page, tracking, reverse("finished:one", args=[build.address])):
            found[f"{name} {address}"] = shown(client, address)
        finishing.publish(job_id=job.pk, by=mira)
    for address in (
        reverse("finished:index"),
        reverse("finished:one", args=[build.address]),
        reverse("shop:finished_cover", args=[job.number, photo.pk]),
    ):
        found[address] = shown(client, address)
    assert not any(found.values()), listed(found)


@pytest.mark.long
def test_every_mail(job: Job) -> None:
    book_payment(
        job_id=job.pk,
        amount=Decimal("10"),
        received_on=timezone.localdate(job.opened_at),
        method="cash",
        by=None,
    )
    with translation.override("de"):
        for kind in sorted(set(LETTERS) - {"refund", "message", "customer_wrote"}):
            letter = LETTERS[kind](occasion_of(moved(job, State.READY), kind, 0))
            assert left_over(list(words_of(letter))) == [], kind


def words_of(letter: Letter) -> Iterator[str]:
    yield from (
        letter.subject,
        letter.heading,
        letter.button,
        *letter.paragraphs,
        *letter.after,
        *letter.points,
    )
    for fact in letter.facts:
        yield from fact


@pytest.mark.long
def test_every_paper_of_a_job(job: Job) -> None:
    made = moved(job, State.READY)
    with translation.override("de"):
        papers = ("quote", "specification", "deposit", "job sheet", "handover")
        found = {kind: left_over(list(strings(content_of(kind, made)))) for kind in papers}
    assert not any(found.values()), listed(found)


def test_a_purchase_order(job: Job) -> None:
    moved(job, State.DEPOSIT_IN)
    order = place_order(supplier=job.parts.first().supplier, by=None, note="")
    with translation.override("de"):
        assert left_over(list(strings(content_of("purchase order", order)))) == []


def strings(found: Any) -> Iterator[str]:
    """Yield every text of a paper, the picture's words included."""
    if isinstance(found, dict):
        for name, value in found.items():
            if name not in ("lang", "code"):
                yield from strings(value)
    elif isinstance(found, list | tuple):
        for value in found:
            yield from strings(value)
    elif isinstance(found, str):
        yield from texts_of(found) if found.lstrip().startswith("<") else [found]


STAFF = (
    "inbox", "jobs", "plan", "plan_setup", "numbers", "parts", "stock", "orders", "order_new", "credits",
    "money", "owed", "invoices", "statements", "unmatched", "people", "promises", "settings",
    "vehicles", "vehicle_add", "told", "new_job", "customers", "customers_same",
    "finished",
)  # fmt: skip
OF_THE_CATALOGUE = (
    ("range", ()), ("range_prices", ()), ("range_files", ()), ("range_draft", ()), ("range_try", ()),
    ("range_versions", ()), ("looks", ()), ("range_lists", ()), ("range_texts", ("de",)),
    ("range_rows", ("wheels",)), ("range_rows", ("rules",)),
    ("range_add", ("wheels",)), ("range_add", ("axles",)), ("range_add", ("recipes",)),
    ("range_add", ("options",)), ("range_add", ("finishes",)), ("range_add", ("generations",)),
    ("range_add", ("suppliers",)), ("range_add", ("paint_layers",)), ("range_add", ("spacers",)),
    ("range_add", ("fasteners",)), ("range_add", ("families",)),
    ("range_row", ("wheels", "torvik-6.5x16-5x112-et50-silver")),
    ("range_history", ("wheels", "torvik-6.5x16-5x112-et50-silver")),
)  # fmt: skip
OF_A_JOB = (
    "job", "review", "amend", "bench", "difference", "job_dates", "job_parts", "job_money", "job_messages",
    "job_documents", "book_in", "changes", "job_notes", "follow",
)  # fmt: skip


@pytest.mark.long
def test_the_staffs_pages(job: Job) -> None:
    client = Client()
    client.force_login(factories.staff("reviewer", "buyer", "technician", "manager", name="mira"))
    found: dict[str, list[str]] = {}
    for state in (State.IN_REVIEW, State.DEPOSIT_IN, State.IN_THE_BAY, State.HANDED_OVER):
        moved(job, state)
        vehicle = [
            reverse("shop:vehicle", args=["haldor-2"]),
            reverse("shop:vehicle_change", args=["haldor-2"]),
            reverse("shop:vehicle_draw", args=["haldor-2"]),
            reverse("shop:vehicle_measure", args=["haldor-2", "front"]),
        ]
        # The page of the terms shows the catalogue's own language beside the others, to be edited.
        steps = [*vehicle, *(reverse("shop:setting", args=[step.id]) for step in STEPS if step.id != "terms")]
        for address in [*addresses_of(STAFF, ()), *steps, *addresses_of(OF_A_JOB, (job.number,))]:
            answer = client.get(address, **GERMAN)
            if answer.status_code == 200:
                found[f"{state.value} {address}"] = left_over(texts_of(answer.content.decode()))
    assert len(found) > 40
    assert not any(found.values()), listed(found)


def addresses_of(names: tuple[str, ...], args: tuple[str, ...]) -> list[str]:
    """Return the addresses of the pages that there are under these names."""
    found = []
    for name in names:
        with suppress(NoReverseMatch):
            found.append(reverse(f"shop:{name}", args=args))
    assert len(found) > len(names) / 2
    return found


@pytest.mark.long
def test_the_pages_of_the_catalogue(job: Job) -> None:
    client = Client()
    client.force_login(factories.staff("manager", name="mira"))
    wheel = drafts.look(None, "wheels", "torvik-6.5x16-5x112-et50-silver").now
    assert wheel is not None
    drafts.keep(kind="wheels", key=str(wheel["code"]), data={**wheel, "unit_price": "210"}, by=None)
    found = {}
    for name, args in OF_THE_CATALOGUE:
        address = reverse(f"shop:{name}", args=args)
        found[address] = in_german(client, address)
    wrong = client.post(reverse("shop:range_add", args=["wheels"]), {"code": "A"}, **GERMAN)
    assert wrong.status_code == 422
    found["a form with mistakes"] = left_over(texts_of(wrong.content.decode()))
    assert not any(found.values()), listed(found)


def in_german(client: Client, address: str) -> list[str]:
    """Return the English of a page, without what is data of the demonstration or a text to be translated."""
    answer = client.get(address, **GERMAN)
    assert answer.status_code == 200, address
    return left_over(texts_of(answer.content.decode()))
