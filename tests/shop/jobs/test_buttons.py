"""Every button of a job does what it says: by whom it was pressed, with what was typed, once."""

from __future__ import annotations

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.jobs.actions import ACTIONS, BY_NAME
from shop.jobs.errors import StaleError
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
TYPED = "The tow bar is still on."
# Name: where the job stands, where it is then, what the history says, whether what was typed is kept,
# whether a page that is old is refused, and the mail.
PRESSED = {
    "take": ("sent", "in_review", "job.taken_into_review", False, True, "in_review"),
    "ask": ("in_review", "waiting", "job.customer_asked", True, True, "question"),
    "back": ("waiting", "in_review", "job.back_in_review", False, True, ""),
    "reopen": ("agreed", "in_review", "job.reopened", True, True, ""),
    "order": ("deposit_in", "parts_on_order", "job.parts_ordered", False, True, "parts_on_order"),
    "arrived": ("parts_on_order", "parts_in", "job.parts_in", False, True, ""),
    "book": ("parts_in", "booked", "job.booked", False, True, "booked"),
    "start": ("booked", "in_the_bay", "job.work_started", False, True, "in_the_bay"),
    "ready": ("in_the_bay", "ready", "job.made_ready", False, True, "ready"),
    "hand-over": ("ready", "handed_over", "job.handed_over", True, True, "handed_over"),
    "back-to-bay": ("ready", "in_the_bay", "job.back_in_the_bay", True, True, ""),
    "recheck": ("handed_over", "handed_over", "job.rechecked", True, False, ""),
    "hold": ("parts_in", "parts_in", "job.held", True, False, ""),
    "release": ("booked", "booked", "job.released", False, False, ""),
    "renew-link": ("in_review", "in_review", "job.link_renewed", False, False, "new_link"),
    "decline": ("in_review", "declined", "job.declined", True, True, "declined"),
    "cancel": ("booked", "cancelled", "job.cancelled", True, True, "cancelled"),
}


def test_no_button_is_left_out() -> None:
    assert {action.name for action in ACTIONS} == {*PRESSED, "confirm"}


@pytest.mark.parametrize("name", PRESSED)
def test_a_button_does_what_it_says(name: str) -> None:
    state, to, said, keeps, versioned, mail = PRESSED[name]
    now = timezone.now()
    job = factories.job(factories.evaluation(parts=()), state=state)
    job.operations.update(planned_start=now, planned_end=now, planned_free=now, done_at=now)
    more: dict[str, object] = {"recheck_due_on": now.date()} if name == "recheck" else {}
    if name == "release":
        more["on_hold_reason"] = "The vehicle is late."
    for field, value in more.items():
        setattr(job, field, value)
    job.save()
    manager = factories.staff("manager", name="kim")
    press = {"job": job, "by": manager, "why": TYPED, "revision_id": None}
    if versioned:
        with pytest.raises(StaleError):
            BY_NAME[name].do(**press, version=job.version + 1)
    assert BY_NAME[name].do(**press, version=job.version)
    job = Job.objects.get(pk=job.pk)
    entry = job.history.filter(action=said).get()
    assert (job.state, entry.user, entry.why) == (to, manager, TYPED if keeps else "")
    rows = OutboxEntry.objects.filter(kind="job_mail", payload__job_id=job.pk, payload__occasion=entry.pk)
    assert [row.payload["template"] for row in rows] == ([mail] if mail else [])


def test_confirming_is_of_the_revision_that_was_looked_at() -> None:
    row = factories.fit_row(verdict="measure", value=3.5, margin=0.5)
    job = factories.job(factories.evaluation(row), state="in_review")
    reviewer = factories.staff("reviewer", name="mira")
    press = {"job": job, "by": reviewer, "why": "If it measures 3 mm.", "version": job.version}
    for revision in (None, job.revision_id + 1):
        with pytest.raises(StaleError):
            BY_NAME["confirm"].do(**press, revision_id=revision)
    with pytest.raises(StaleError):
        BY_NAME["confirm"].do(**{**press, "version": job.version + 1}, revision_id=job.revision_id)
    assert BY_NAME["confirm"].do(**press, revision_id=job.revision_id)
    entry = job.history.get(action="job.workshop_agreed")
    assert (entry.user, entry.why, entry.data) == (reviewer, "If it measures 3 mm.", {"revision": 1})
