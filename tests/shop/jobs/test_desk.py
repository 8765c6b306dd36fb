"""What staff do by hand: a yes by telephone, notes that stay inside, and contact put right."""

from __future__ import annotations

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from shop.jobs import service
from shop.jobs.agreement import agree_as_workshop, ask_customer
from shop.jobs.desk import add_note, agree_by_telephone, correct_contact
from shop.jobs.errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from shop.jobs.inbox import inbox
from shop.jobs.selectors import Wanted, found_jobs
from shop.messages import delivery
from shop.messages.models import LINK_MARK
from shop.models import HistoryEntry, OutgoingMail
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira():
    return factories.staff("reviewer", name="mira")


@pytest.fixture
def client(mira) -> Client:
    client = Client()
    client.force_login(mira)
    return client


def changed_offer(mira):
    """Return a job whose changed build waits for the customer's yes."""
    job = factories.job(state="in_review")
    revised = factories.evaluation(price=factories.price("1300.00"))
    job.revision = factories.revision(revised, spec=job.spec, made_by="mira", why="Other rings.")
    job.save()
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=mira)
    job.refresh_from_db()
    assert job.state == "waiting"
    return job


def told_yes(job, by, **changes) -> bool:
    fields = {"job_id": job.pk, "revision_id": job.revision_id, "by": by, "said_by": "Ida Sommer"}
    return agree_by_telephone(**(fields | changes))


def test_a_yes_by_telephone_agrees_the_job_and_says_who_gave_and_who_took_it(mira) -> None:
    job = changed_offer(mira)
    assert told_yes(job, mira, why="Read out in full.")
    assert not told_yes(job, mira)
    job.refresh_from_db()
    assert (job.state, job.agreed_revision_id) == ("deposit_due", job.revision_id)
    entry = job.history.get(action="job.customer_agreed_by_telephone")
    assert (entry.who, entry.user, entry.data["said_by"]) == ("mira", mira, "Ida Sommer")
    assert "customer" not in [each.who for each in job.history.filter(pk__gte=entry.pk)]
    assert job.mails.filter(kind="deposit_request").count() <= 1


def test_a_yes_while_the_workshop_reviews_counts_once_it_confirms(mira) -> None:
    job = factories.job(state="in_review")
    job.revision = factories.revision(spec=job.spec, made_by="mira")
    job.save()
    assert told_yes(job, mira)
    job.refresh_from_db()
    assert (job.state, job.agreed_revision) == ("in_review", None)
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=mira)
    job.refresh_from_db()
    assert job.state == "deposit_due"


def test_a_yes_to_a_question_alone_brings_the_job_back_to_the_desk(mira) -> None:
    job = factories.job(state="in_review")
    job.revision = factories.revision(spec=job.spec, made_by="mira")
    job.save()
    ask_customer(job_id=job.pk, by=mira, question="Shall we?")
    assert told_yes(job, mira)
    job.refresh_from_db()
    assert (job.state, job.customer_agreed_revision_id) == ("in_review", job.revision_id)
    assert inbox(mira).tasks[0].job == job


def test_a_yes_to_another_revision_or_from_nobody_is_refused(mira) -> None:
    job = changed_offer(mira)
    first = job.spec.revisions.first()
    with pytest.raises(StaleError):
        told_yes(job, mira, revision_id=first.pk)
    with pytest.raises(UnmetError):
        told_yes(job, mira, said_by="  ")
    with pytest.raises(StaleError):
        told_yes(job, mira, version=job.version - 1)
    with pytest.raises(NotAllowedError):
        told_yes(job, factories.staff("buyer"))
    job.refresh_from_db()
    assert job.state == "waiting"
    service.cancel(job_id=job.pk, by=mira, why="Sold the van.")
    with pytest.raises(WrongStateError):
        told_yes(job, mira)


@pytest.mark.long
def test_notes_are_kept_once_in_any_state_and_never_shown_to_the_customer(mira, client) -> None:
    job = factories.job(state="handed_over")
    address = reverse("shop:add_note", args=[job.number])
    data = {"note-kind": "call", "note-spoken_with": "Frau Sommer", "note-text": "Rattles at 80.",
            "note-press": "k1"}  # fmt: skip
    for _twice in range(2):
        assert client.post(address, data).status_code == 302
    assert add_note(job_id=job.pk, by=factories.staff("technician"), kind="inner", text="Ring.", press="k2")
    body = client.get(reverse("shop:job_notes", args=[job.number])).content.decode()
    assert body.count("Rattles at 80.") == 1
    assert "with Frau Sommer" in body
    theirs = Client().get(reverse("tracking:job", args=[job.token])).content.decode()
    assert "Rattles" not in theirs
    assert "Frau Sommer" not in theirs


def test_a_call_with_nobody_is_said_at_the_field_and_keeps_what_was_typed(client) -> None:
    job = factories.job()
    address = reverse("shop:add_note", args=[job.number])
    page = client.post(address, {"note-kind": "call", "note-text": "Rattles at 80.", "note-press": "k1"})
    assert page.status_code == 400
    body = page.content.decode()
    assert "Say whom you spoke with." in body
    assert "Rattles at 80." in body
    assert not HistoryEntry.objects.filter(action="note.call").exists()


def corrected(job, by, **changes):
    contact = factories_contact(job, **changes.pop("contact"))
    return correct_contact(job_id=job.pk, contact=contact, by=by, **({"why": "By telephone."} | changes))


def factories_contact(job, **changes):
    from dataclasses import replace

    from shop.jobs.revising import contact_of

    return replace(contact_of(job.revision), **changes)


def test_a_corrected_contact_keeps_what_it_was_and_what_was_agreed(mira) -> None:
    job = factories.job(state="booked")
    agreed = job.revision.evaluation
    done = corrected(job, mira, contact={"name": "Ida Summer", "registration": "XB CD 77"})
    assert done.before == {"name": "Ida Sommer", "registration": "XB AB 12"}
    job = type(job).objects.get(pk=job.pk)
    assert (job.revision.name, job.revision.email) == ("Ida Summer", "ida@customer.example")
    assert (job.state, job.revision.evaluation, job.sort_name) == ("booked", agreed, "ida summer")
    assert list(found_jobs(mira, Wanted("xbcd77"))) == [job]
    assert not found_jobs(mira, Wanted("xbab12"))
    entry = job.history.get(action="job.contact_corrected")
    assert entry.data["before"]["registration"] == "XB AB 12"
    assert corrected(job, mira, contact={}) is None
    assert job.history.filter(action="job.contact_corrected").count() == 1


def test_a_correction_from_an_old_page_without_a_reason_or_role_is_refused(mira) -> None:
    job = factories.job()
    with pytest.raises(UnmetError):
        corrected(job, mira, contact={"name": "X"}, why=" ")
    with pytest.raises(StaleError):
        corrected(job, mira, contact={"name": "X"}, version=job.version + 1)
    with pytest.raises(NotAllowedError):
        corrected(job, factories.staff("technician"), contact={"name": "X"})
    job.revision.refresh_from_db()
    assert job.revision.name == "Ida Sommer"


def sent_to(job, address: str, key: str, state: str = "sent") -> OutgoingMail:
    link = f"https://here.example/{LINK_MARK}/"
    return OutgoingMail.objects.create(
        key=key, job=job, kind="confirmation", language="en", to=address, subject=key, text=link, html=link,
        state=state,
    )  # fmt: skip


def test_mails_to_a_wrong_address_go_to_the_right_one_with_a_new_link(
    mira, django_capture_on_commit_callbacks
) -> None:
    job = factories.job()
    OutgoingMail.objects.all().delete()
    old = job.token
    sent = sent_to(job, "ida@customer.example", "a")
    sent_to(job, "desk@workshop.example", "b")
    waiting = sent_to(job, "ida@customer.example", "c", "waiting")
    delivery.promise_delivery(waiting)
    mail.outbox.clear()
    with django_capture_on_commit_callbacks(execute=True):
        corrected(job, mira, contact={"email": "ida.s@customer.example"}, address_was_wrong=True)
    job.refresh_from_db()
    assert job.token != old
    again = OutgoingMail.objects.exclude(pk__in=[sent.pk, waiting.pk]).filter(to="ida.s@customer.example")
    assert [each.subject for each in again] == ["a"]
    waiting.refresh_from_db()
    assert waiting.to == "ida.s@customer.example"
    (went,) = [each for each in mail.outbox if each.subject == "a"]
    assert went.to == ["ida.s@customer.example"]
    html = went.alternatives[0][0]
    assert (job.token in went.body, job.token in html, old in went.body + html) == (True, True, False)
    sent.refresh_from_db()
    assert sent.to == "ida@customer.example"  # what went out stays on record


def test_a_new_address_that_is_no_correction_leaves_link_and_sent_mails_alone(mira) -> None:
    job = factories.job()
    OutgoingMail.objects.all().delete()
    old = job.token
    sent_to(job, "ida@customer.example", "a")
    corrected(job, mira, contact={"email": "new@customer.example"})
    job.refresh_from_db()
    assert (job.token, OutgoingMail.objects.count()) == (old, 1)


def test_bad_contacts_are_said_at_the_field_and_nothing_typed_is_lost(client) -> None:
    job = factories.job()
    address = reverse("shop:correct_contact", args=[job.number])
    typed = {"name": "Ida S", "email": "ida@@x", "vin": "1" * 18, "why": "Call", "phone": "seven"}
    data = {f"contact-{name}": value for name, value in typed.items()}
    page = client.post(address, data)
    assert page.status_code == 422
    body = page.content.decode()
    assert 'value="ida@@x"' in body
    assert set(page.context["contact"].errors) == {"email", "vin", "phone"}
    job.revision.refresh_from_db()
    assert job.revision.name == "Ida Sommer"


@pytest.mark.long
def test_the_page_shows_the_customers_forms_to_whoever_answers_customers_alone(client) -> None:
    job = factories.job(state="in_review", customer_agreed_revision=None)
    address = reverse("shop:job_notes", args=[job.number])
    assert 'id="contact"' in client.get(address).content.decode()
    assert 'id="telephone"' in client.get(address).content.decode()
    other = Client()
    other.force_login(factories.staff("technician"))
    job.state = "booked"
    job.save()
    body = other.get(address).content.decode()
    assert 'id="contact"' not in body
    assert "ida@customer.example" not in body
    for name in ("telephone_yes", "correct_contact"):
        assert other.post(reverse(f"shop:{name}", args=[job.number])).status_code == 403


def test_whoever_is_forgotten_is_not_found_by_name_nor_told_of_in_notes(mira) -> None:
    from shop.privacy.forgetting import forget

    job = factories.job(state="handed_over")
    add_note(job_id=job.pk, by=mira, kind="call", text="Ida rang.", press="k1", spoken_with="Ida")
    corrected(job, mira, contact={"name": "Ida Summer"})
    forget(email="ida@customer.example", by=factories.staff("manager"), why="Asked for it.")
    for words in ("ida", "summer", "xb ab 12", "ida@customer.example"):
        assert not found_jobs(mira, Wanted(words)), words
    assert list(found_jobs(mira, Wanted(job.number))) == [job]
    kept = [
        (each.why, each.data)
        for each in job.history.filter(action__in=["note.call", "job.contact_corrected"])
    ]
    assert kept == [("", {}), ("", {})]
