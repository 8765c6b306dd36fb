"""Who gets in: strangers to the sign-in, staff to their own pages, each role to its own jobs."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from shop.jobs.states import ORDER, STAFF_ROLES, State
from shop.models import Bay, Job
from tests.shop import factories

pytestmark = pytest.mark.django_db

PAGES = {
    "inbox": STAFF_ROLES,
    "jobs": STAFF_ROLES,
    "plan": STAFF_ROLES,
    "plan_setup": ("manager",),
    "numbers": ("manager",),
}
# Everything that changes something, as (name, extra arguments, who may).
POSTS = {
    "act": STAFF_ROLES,
    "measured": ("reviewer", "technician", "manager"),
    "amend": ("reviewer", "manager"),
    "bench_step": STAFF_ROLES,
}
SEEN = {
    "reviewer": tuple(State),
    "manager": tuple(State),
    "buyer": ORDER[3:10],
    "technician": ORDER[7:],
}


def signed_in(*roles: str) -> Client:
    client = Client()
    client.force_login(factories.staff(*roles, name=f"{'-'.join(roles) or 'nobody'}-{User.objects.count()}"))
    return client


@pytest.mark.parametrize("name", PAGES)
def test_pages_by_role(name: str) -> None:
    address = reverse(f"shop:{name}")
    assert Client().get(address).url.startswith(reverse("login"))
    assert signed_in().get(address).status_code == 403
    for role in STAFF_ROLES:
        assert signed_in(role).get(address).status_code == (200 if role in PAGES[name] else 403), role


# Whoever sees every job opens fourteen pages, and nothing is refused.
@pytest.mark.parametrize(
    "role",
    [
        pytest.param(role, marks=pytest.mark.long if SEEN[role] == tuple(State) else ())
        for role in STAFF_ROLES
    ],
)
def test_each_role_sees_its_jobs_only(role: str) -> None:
    client = signed_in(role)
    listed = set()
    for state in State:
        job = factories.job(state=state)
        found = client.get(reverse("shop:job", args=[job.number])).status_code
        assert found == (200 if state in SEEN[role] else 404), state
        if state in SEEN[role]:
            listed.add(job.number)
    page = client.get(reverse("shop:jobs")).content.decode()
    assert {number for number in Job.objects.values_list("number", flat=True) if number in page} == listed


@pytest.mark.parametrize("role", ["buyer", "technician"])
def test_contact_and_price_are_for_reviewers(role: str) -> None:
    job = factories.job(state="booked")
    page = signed_in(role).get(reverse("shop:job", args=[job.number])).content.decode()
    assert "ida@customer.example" not in page
    assert "1190" not in page
    for name in ("review", "amend"):
        assert signed_in(role).get(reverse(f"shop:{name}", args=[job.number])).status_code == 403


def test_strangers_change_nothing() -> None:
    job = factories.job(state="in_the_bay")
    step = job.operations.first().pk
    for name in POSTS:
        arguments = [job.number, step] if name == "bench_step" else [job.number]
        response = Client().post(reverse(f"shop:{name}", args=arguments), {"action": "cancel", "why": "x"})
        assert response.status_code == 302
        assert response.url.startswith(reverse("login"))
    for address in (reverse("shop:plan_make"), reverse("shop:plan_setup")):
        assert Client().post(address).url.startswith(reverse("login"))
    job.refresh_from_db()
    assert job.version == 1


@pytest.mark.long
@pytest.mark.parametrize("role", STAFF_ROLES)
def test_posts_by_role(role: str) -> None:
    client = signed_in(role)
    job = factories.job(state="in_the_bay")
    step = job.operations.first().pk
    for name, roles in POSTS.items():
        arguments = [job.number, step] if name == "bench_step" else [job.number]
        status = client.post(reverse(f"shop:{name}", args=arguments), {}).status_code
        assert (status == 403) == (role not in roles), (name, status)
    bay = Bay.objects.create(name="Bay 9", kind="bay")
    for address in (reverse("shop:plan_setup"), reverse("shop:plan_change", args=["bay", bay.pk])):
        assert (client.post(address, {"kind_of_row": "bay"}).status_code == 403) == (role != "manager")


def test_changes_are_never_made_by_get() -> None:
    job = factories.job(state="in_the_bay")
    client = signed_in("manager")
    for address in (
        reverse("shop:act", args=[job.number]),
        reverse("shop:measured", args=[job.number]),
        reverse("shop:bench_step", args=[job.number, job.operations.first().pk]),
        reverse("shop:plan_make"),
    ):
        assert client.get(address).status_code == 405


def test_posts_need_the_token_against_forged_requests() -> None:
    job = factories.job()
    client = Client(enforce_csrf_checks=True)
    client.force_login(factories.staff("manager"))
    response = client.post(reverse("shop:act", args=[job.number]), {"action": "take"})
    assert response.status_code == 403
    assert Job.objects.get().state == "sent"
