"""Who gets through the door of a page, which jobs they see there, and how a private file is handed out."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.test import RequestFactory

from shop.jobs.access import download, job_or_404, sees_customer, staff, visible_jobs, works_on_vehicles
from shop.jobs.states import State
from tests.shop import factories

pytestmark = pytest.mark.django_db


def asked_by(user: object) -> HttpRequest:
    request = RequestFactory().get("/workshop/somewhere/?a=1")
    request.user = user  # type: ignore[assignment]
    return request


def page(request: HttpRequest, number: str, *, tab: str = "") -> HttpResponse:
    """A page that says what it was asked."""
    return HttpResponse(f"{request.user} {number} {tab}")


def test_a_page_is_for_the_roles_it_names_and_lets_them_through_with_all_they_asked() -> None:
    guarded = staff("buyer", "manager")(page)
    buyer, technician = factories.staff("buyer", name="kim"), factories.staff("technician")
    answer = guarded(asked_by(buyer), "K-1", tab="parts")
    assert answer.content == b"kim K-1 parts"
    with pytest.raises(PermissionDenied, match=r"^This page is for: buyer, manager\.$"):
        guarded(asked_by(technician), "K-1")
    assert [guarded.opens_to(user) for user in (buyer, technician)] == [True, False]  # type: ignore[attr-defined]
    assert guarded.__name__ == "page"


def test_where_none_is_named_any_staff_may_and_strangers_sign_in() -> None:
    guarded = staff()(page)
    for role in ("reviewer", "buyer", "technician", "manager"):
        assert guarded(asked_by(factories.staff(role)), "K-1").status_code == 200
    with pytest.raises(PermissionDenied):
        guarded(asked_by(factories.staff(name="no role")), "K-1")
    away = guarded(asked_by(AnonymousUser()), "K-1")
    assert away.status_code == 302
    assert away["Location"].endswith("?next=/workshop/somewhere/%3Fa%3D1")
    assert not guarded.opens_to(AnonymousUser())  # type: ignore[attr-defined]


# Written down a second time: what each sees on the way through the workshop.
SEEN = {
    "reviewer": set(State.values),
    "manager": set(State.values),
    "buyer": {"agreed", "deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked", "in_the_bay"},
    "technician": {"parts_in", "booked", "in_the_bay", "ready", "handed_over"},
}


@pytest.mark.parametrize("role", SEEN)
def test_each_role_sees_the_jobs_that_are_its_work(role: str) -> None:
    user, job = factories.staff(role), factories.job()
    for state in State.values:
        type(job).objects.filter(pk=job.pk).update(state=state)
        seen = state in SEEN[role]
        assert visible_jobs(user).filter(pk=job.pk).exists() == seen
        if seen:
            assert job_or_404(asked_by(user), job.number) == job
        else:
            with pytest.raises(Http404):
                job_or_404(asked_by(user), job.number)
    with pytest.raises(Http404):
        job_or_404(asked_by(user), f"{job.number}0")
    assert sees_customer(user) == (role in ("reviewer", "manager"))
    assert works_on_vehicles(user) == (role != "buyer")


def test_two_roles_see_what_either_sees() -> None:
    user, job = factories.staff("buyer", "technician"), factories.job()
    type(job).objects.filter(pk=job.pk).update(state="agreed")
    assert list(visible_jobs(user)) == [job]
    assert works_on_vehicles(user)
    assert not sees_customer(user)
    assert not visible_jobs(AnonymousUser()).exists()


def test_a_private_file_is_kept_or_looked_at_and_never_by_a_cache_in_between() -> None:
    kept, shown = (download(b"data", "list.csv", "text/csv", inline=inline) for inline in (False, True))
    assert (kept.content, kept["Content-Type"]) == (b"data", "text/csv")
    assert kept["Content-Disposition"] == 'attachment; filename="list.csv"'
    assert shown["Content-Disposition"] == 'inline; filename="list.csv"'
    assert {each["Cache-Control"] for each in (kept, shown)} == {"private, no-cache"}
    assert download(b"", "a", "b")["Content-Disposition"].startswith("attachment")
