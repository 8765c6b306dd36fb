"""Accounts of staff: throttled, invited by mail, with a second factor where it counts."""

from __future__ import annotations

import io
import re
import time
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django_otp.oath import TOTP
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.accounts import service
from tests.shop import factories

pytestmark = pytest.mark.django_db
INBOX = "/workshop/"


@pytest.fixture
def manager() -> User:
    user = factories.staff("manager", name="anke")
    user.set_password("a-long-pass-phrase")
    user.email = "anke@workshop.example"
    user.save()
    return user


@pytest.fixture
def strict(settings: Any) -> None:
    settings.SECOND_FACTOR_FOR = ["manager"]


def sign_in(client: Client, name: str = "anke", password: str = "a-long-pass-phrase") -> Any:
    return client.post("/sign-in/", {"username": name, "password": password})


def code_of(user: User, *, at: float = 0) -> str:
    """What an authenticator shows (RFC 6238), worked out from the key."""
    device = TOTPDevice.objects.get(user=user)
    totp = TOTP(device.bin_key, device.step, device.t0, device.digits, device.drift)
    totp.time = time.time() + at
    return f"{totp.token():06d}"


def set_up(client: Client, user: User) -> list[str]:
    assert client.get("/sign-in/code/").status_code == 200
    answer = client.post("/sign-in/code/", {"code": code_of(user)})
    return re.findall(r"<li>([a-z2-7]+)</li>", answer.content.decode())


def test_a_manager_gets_nowhere_before_the_second_step_is_set_up(
    client: Client, manager: User, strict: None
) -> None:
    sign_in(client)
    for page in (INBOX, "/workshop/accounts/", "/admin/"):
        assert client.get(page)["Location"] == "/sign-in/code/"
    assert client.post("/sign-in/code/", {"code": "000000"}).status_code == 422
    assert len(set_up(client, manager)) == 8
    assert client.get(INBOX).status_code == 200


def test_the_code_is_asked_at_the_next_sign_in_and_a_recovery_code_opens_once(
    client: Client, manager: User, strict: None
) -> None:
    sign_in(client)
    codes = set_up(client, manager)
    for number, status in enumerate((302, 422)):
        again = Client()
        assert sign_in(again)["Location"] == "/sign-in/code/"
        assert again.get(INBOX)["Location"] == "/sign-in/code/"
        assert again.post("/sign-in/code/", {"code": codes[0]}).status_code == status, number
    TOTPDevice.objects.update(last_t=-1, throttling_failure_count=0, throttling_failure_timestamp=None)
    third = Client()
    sign_in(third)
    assert third.post("/sign-in/code/", {"code": code_of(manager)}).status_code == 302
    assert third.get(INBOX).status_code == 200


def test_a_password_alone_changes_no_account(client: Client, manager: User, strict: None) -> None:
    """Who knows only the password must not make it theirs, nor sign the owner out."""
    sign_in(client)
    set_up(client, manager)
    thief = Client()
    sign_in(thief)
    new = {
        "old_password": "a-long-pass-phrase",
        "new_password1": "taken-over-99",
        "new_password2": "taken-over-99",
    }
    for page, told in (
        ("password/", new),
        ("everywhere/", {"password": "a-long-pass-phrase"}),
        ("preferences/", {}),
    ):
        assert thief.post(f"/sign-in/account/{page}", told)["Location"] == "/sign-in/code/", page
    assert thief.get("/sign-in/account/")["Location"] == "/sign-in/code/"
    manager.refresh_from_db()
    assert manager.check_password("a-long-pass-phrase")
    assert client.get("/sign-in/account/").status_code == 200


def test_who_set_one_up_of_their_own_will_is_asked_too(client: Client, settings: Any) -> None:
    settings.SECOND_FACTOR_FOR = []
    buyer = factories.staff("buyer", name="petra")
    buyer.set_password("a-long-pass-phrase")
    buyer.save()
    sign_in(client, "petra")
    set_up(client, buyer)
    again = Client()
    sign_in(again, "petra")
    assert again.get(INBOX)["Location"] == "/sign-in/code/"


@pytest.mark.long
def test_tries_are_counted_by_account_and_by_address(manager: User, client: Client) -> None:
    for number in range(8):
        sign_in(Client(REMOTE_ADDR=f"192.0.2.{number}"), password="wrong")
    locked = Client(REMOTE_ADDR="192.0.2.99").post(
        "/sign-in/", {"username": "anke", "password": "a-long-pass-phrase"}
    )
    assert locked.status_code == 429
    assert "closed for a quarter of an hour" in locked.content.decode()

    one = Client(REMOTE_ADDR="192.0.2.200")
    for number in range(8):
        sign_in(one, name=f"nobody{number}", password="wrong")
    assert sign_in(one, name="somebody", password="wrong").status_code == 429


def test_a_claimed_address_does_not_lead_past_the_throttle(manager: User) -> None:
    """Without a proxy of ours in front, what a visitor says of their address counts for nothing."""
    client = Client(REMOTE_ADDR="192.0.2.7")
    for number in range(8):
        client.post(
            "/sign-in/",
            {"username": f"n{number}", "password": "x"},
            headers={"X-Forwarded-For": f"198.51.100.{number}"},
        )
    answer = client.post(
        "/sign-in/", {"username": "other", "password": "x"}, headers={"X-Forwarded-For": "203.0.113.1"}
    )
    assert answer.status_code == 429


def link_in(mail: Any) -> str:
    return re.search(r"http\S+(/sign-in/set/\S+)", mail.body)[1]


def test_an_invitation_leads_to_a_password_and_in(
    client: Client, manager: User, mailoutbox: Any, django_capture_on_commit_callbacks: Any
) -> None:
    client.force_login(manager)
    wanted = {"name": "timo", "email": "timo@workshop.example", "roles": ["technician"], "first_name": "Timo"}
    with django_capture_on_commit_callbacks(execute=True):
        assert client.post("/workshop/accounts/", wanted).status_code == 302
    (mail,) = mailoutbox
    assert mail.to == ["timo@workshop.example"]
    guest = Client()
    form = guest.get(link_in(mail), follow=True)
    twice = {"new_password1": "another-long-phrase", "new_password2": "another-long-phrase"}
    assert guest.post(form.request["PATH_INFO"], twice)["Location"] == "/sign-in/"
    assert sign_in(guest, "timo", "another-long-phrase")["Location"] == INBOX
    used = Client().get(link_in(mail), follow=True)
    assert "has been used or has run out" in used.content.decode()


def test_what_is_wrong_with_an_invitation_stands_at_its_field(client: Client, manager: User) -> None:
    client.force_login(manager)
    answer = client.post(
        "/workshop/accounts/", {"name": "ANKE", "email": "x@workshop.example", "roles": "buyer"}
    )
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == ["name"]
    assert list(client.post("/workshop/accounts/", {"name": "t"}).context["form"].errors) == [
        "email",
        "roles",
    ]
    assert User.objects.count() == 1


def test_a_forgotten_password_tells_nobody_who_has_an_account(
    client: Client, manager: User, mailoutbox: Any, django_capture_on_commit_callbacks: Any
) -> None:
    answers = []
    for email in ("anke@workshop.example", "nobody@workshop.example"):
        with django_capture_on_commit_callbacks(execute=True):
            answers.append(client.post("/sign-in/forgotten/", {"email": email})["Location"])
    assert answers == ["/sign-in/forgotten/sent/"] * 2
    (mail,) = mailoutbox
    assert mail.to == ["anke@workshop.example"]


@pytest.mark.long
def test_fifty_presses_within_a_minute_send_one_mail(
    manager: User, mailoutbox: Any, django_capture_on_commit_callbacks: Any, time_machine: Any
) -> None:
    time_machine.move_to("2026-03-31T10:00:10Z", tick=False)
    with django_capture_on_commit_callbacks(execute=True):
        for _press in range(50):
            Client().post("/sign-in/forgotten/", {"email": "anke@workshop.example"})
    assert len(mailoutbox) == 1


def test_the_last_manager_stays_manager_and_open(manager: User) -> None:
    with pytest.raises(service.AccountError, match="last manager"):
        service.give_roles(user_id=manager.pk, roles=["buyer"], by=manager)
    other = factories.staff("manager", name="olga")
    with pytest.raises(service.AccountError, match="your own"):
        service.set_active(user_id=manager.pk, active=False, by=manager)
    service.set_active(user_id=manager.pk, active=False, by=other)
    with pytest.raises(service.AccountError, match="last manager"):
        service.give_roles(user_id=other.pk, roles=["buyer"], by=other)


def test_who_is_shut_off_is_out_at_once(client: Client, manager: User) -> None:
    buyer = factories.staff("buyer", name="petra")
    client.force_login(buyer)
    assert client.get(INBOX).status_code == 200
    service.set_active(user_id=buyer.pk, active=False, by=manager)
    assert client.get(INBOX).status_code == 302


@pytest.mark.long
def test_signing_out_everywhere_leaves_only_this_session(client: Client, manager: User) -> None:
    other = Client()
    sign_in(client)
    sign_in(other)
    assert client.post("/sign-in/account/everywhere/", {"password": "wrong"}).status_code == 422
    assert other.get(INBOX).status_code == 200
    client.post("/sign-in/account/everywhere/", {"password": "a-long-pass-phrase"})
    assert other.get(INBOX).status_code == 302
    assert client.get(INBOX).status_code == 200


@pytest.mark.parametrize(("hours_idle", "inside"), [(1.9, True), (2.1, False)])
def test_a_session_in_which_nothing_is_done_ends(
    client: Client, manager: User, time_machine: Any, hours_idle: float, inside: bool
) -> None:
    time_machine.move_to("2026-03-31T08:00:00Z", tick=False)
    client.force_login(manager)
    assert client.get(INBOX).status_code == 200
    time_machine.shift(hours_idle * 3600)
    assert (client.get(INBOX).status_code == 200) == inside


@pytest.mark.long
def test_no_session_outlasts_a_working_day_however_busy(
    client: Client, manager: User, time_machine: Any
) -> None:
    time_machine.move_to("2026-03-31T06:00:00Z", tick=False)
    client.force_login(manager)
    seen = []
    for _hour in range(15):
        seen.append(client.get(INBOX).status_code)
        time_machine.shift(3600)
    assert seen == [200] * 15
    assert client.get(INBOX).status_code == 302


def test_sign_ins_and_refusals_are_on_record(client: Client, manager: User) -> None:
    sign_in(client, password="wrong")
    sign_in(client)
    page = client.get("/workshop/accounts/sign-ins/")
    assert [row.username for row in page.context["came"]] == ["anke"]
    assert [row.username for row in page.context["refused"]] == ["anke"]
    assert client.get(f"/workshop/accounts/{manager.pk}/sign-ins/").status_code == 200


@pytest.mark.parametrize("role", ["reviewer", "buyer", "technician"])
def test_accounts_are_the_managers(client: Client, role: str) -> None:
    user = factories.staff(role, name="someone")
    client.force_login(user)
    for page in ("", "sign-ins/", f"{user.pk}/", f"{user.pk}/sign-ins/"):
        assert client.get(f"/workshop/accounts/{page}").status_code == 403
    assert client.post(f"/workshop/accounts/{user.pk}/shut/").status_code == 403


def test_the_first_manager_is_made_by_a_command(
    mailoutbox: Any, django_capture_on_commit_callbacks: Any
) -> None:
    out = io.StringIO()
    with django_capture_on_commit_callbacks(execute=True):
        call_command("make_staff", "olga", "manager", email="olga@workshop.example", stdout=out)
    assert [mail.to for mail in mailoutbox] == [["olga@workshop.example"]]
    assert not User.objects.get(username="olga").has_usable_password()
    with pytest.raises(CommandError, match="already"):
        call_command("make_staff", "olga", "buyer", email="olga@workshop.example")
    with pytest.raises(CommandError, match="valid email"):
        call_command("make_staff", "ole", "buyer", email="nonsense")


def test_the_demo_refuses_where_people_work(settings: Any) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    with pytest.raises(CommandError, match="a mail server"):
        call_command("demo", no_serve=True, few=True)
    assert not User.objects.exists()


def test_the_admin_site_has_the_same_door(client: Client, manager: User) -> None:
    assert client.get("/admin/login/?next=/admin/")["Location"] == "/sign-in/?next=/admin/"
