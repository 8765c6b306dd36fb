"""Language, light or dark and units: kept with the account, on every device."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.core import mail
from django.test import Client

from shop.accounts import preferring, service
from tests.shop import factories

pytestmark = pytest.mark.django_db
CHOSEN = {"language": "de", "theme": "dark", "units": "in"}


@pytest.fixture
def user() -> User:
    user = factories.staff("reviewer", name="mira")
    user.set_password("very-long-word")
    user.email = "mira@werk.example"
    user.save()
    return user


def signed_in(user: User) -> Client:
    client = Client()
    client.post("/sign-in/", {"username": user.username, "password": "very-long-word"})
    return client


def test_what_is_chosen_is_there_on_another_device(user: User) -> None:
    here = signed_in(user)
    answer = here.post("/sign-in/account/preferences/", CHOSEN, follow=True)
    assert "Für jedes Gerät" in answer.content.decode()
    there = signed_in(user)
    page = there.get("/sign-in/account/").content.decode()
    assert 'lang="de"' in page
    assert 'data-theme="dark"' in page
    assert there.cookies["units"].value == "in"


def test_the_buttons_at_the_foot_are_kept_too(user: User) -> None:
    here = signed_in(user)
    here.post("/i18n/setlang/", {"language": "de", "next": "/workshop/"})
    here.post("/preferences/", {"theme": "dark"})
    assert preferring.of(user) == {"language": "de", "theme": "dark", "units": ""}
    here.post("/preferences/", {"theme": "auto"})
    assert preferring.of(user)["theme"] == ""


def test_a_device_without_an_account_keeps_nothing(user: User) -> None:
    client = Client()
    client.post("/preferences/", {"theme": "dark"})
    assert preferring.of(user) == {"language": "", "theme": "", "units": ""}


@pytest.mark.parametrize(
    "wrong", [{"language": "xx"}, {"theme": "pink"}, {"units": "ell"}, {"language": "../../etc"}]
)
def test_what_cannot_be_chosen_is_refused_and_changes_nothing(user: User, wrong: dict[str, str]) -> None:
    here = signed_in(user)
    here.post("/sign-in/account/preferences/", CHOSEN)
    assert here.post("/sign-in/account/preferences/", {**CHOSEN, **wrong}).status_code == 422
    assert preferring.of(user) == CHOSEN


def test_mail_about_an_account_is_in_its_own_language(
    user: User, django_capture_on_commit_callbacks, settings
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    preferring.keep(user, {"language": "de"})
    with django_capture_on_commit_callbacks(execute=True):
        service.invite_again(user_id=user.pk)
    assert "Setzen Sie es hier" in mail.outbox[0].body or "Passwort" in mail.outbox[0].body
