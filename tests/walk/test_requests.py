"""A walk in German through requests for vehicles: the customer's pages, staff's, mails; no English left."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone, translation

from configurator.catalogue.snapshot import Catalogue
from shop.messages.news_words import line_of
from shop.models import News, RequestEntry, RequestMail, VehicleRequest
from shop.wanted import mailing
from shop.wanted.letters import LETTERS
from tests.shop import factories
from tests.walk.english import left_over, texts_of

pytestmark = pytest.mark.django_db
State = VehicleRequest.State
NOTE = {
    "press": "walk", "maker": "Quillon", "model": "Marrow", "year": "2017", "wish": "Schwarze Felgen.",
    "name": "Ida Sommer", "email": "ida@customer.example", "phone": "", "consent": "on",
}  # fmt: skip


@pytest.fixture
def visitor() -> Client:
    return Client(HTTP_ACCEPT_LANGUAGE="de")


def english(answer: Any) -> list[str]:
    return left_over(texts_of(answer.content.decode()))


@pytest.mark.long
def test_the_note_with_all_that_can_be_wrong_and_its_proof(
    demo_catalogue: Catalogue, visitor: Client, settings: Any
) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = True
    settings.KERBLINE_REQUEST_PHOTOS = 0
    settings.LIMITS = {"requests": "1/hour"}
    bad = SimpleUploadedFile("x.gif", b"GIF89a", "image/gif")
    found = {
        "start": english(visitor.get("/")),
        "form": english(visitor.get("/not-listed/")),
        "wrong": english(
            visitor.post("/not-listed/", {"press": "walk", "photos": bad, "name": "www.x.example"})
        ),
    }
    visitor.post("/not-listed/", NOTE)
    row = VehicleRequest.objects.get(press="walk")
    found |= {
        "too often": english(visitor.post("/not-listed/", NOTE)),
        "waiting": english(visitor.get("/not-listed/waiting/")),
        "proof": english(visitor.get(f"/not-listed/{row.token}/")),
    }
    other = Client(HTTP_ACCEPT_LANGUAGE="de")
    other.post(f"/not-listed/{row.token}/")
    found["sent"] = english(visitor.post("/not-listed/", NOTE))
    row.refresh_from_db()
    VehicleRequest.objects.update(state=State.UNPROVED, made_at=timezone.now() - timedelta(days=9))
    found["late"] = english(visitor.get(f"/not-listed/{row.token}/"))
    assert not any(found.values()), found


@pytest.mark.long
def test_the_customers_page_and_staffs_in_every_state(demo_catalogue: Catalogue, visitor: Client) -> None:
    visitor.post("/not-listed/", NOTE)
    row = VehicleRequest.objects.get()
    RequestMail.objects.update(state="failed")
    for kind in RequestEntry.Kind:
        RequestEntry.objects.create(request=row, kind=kind, press=f"walk-{kind}", text="")
    desk = Client(HTTP_ACCEPT_LANGUAGE="de")
    desk.force_login(factories.staff("manager"))
    page, found = f"/not-listed/{row.token}/", {}
    for state in (State.OPEN, State.TAKEN, State.READY, State.DECLINED, State.WITHDRAWN):
        for code in ("", "haldor-2"):
            VehicleRequest.objects.update(state=state, generation=code)
            found[f"{state} {code}"] = english(visitor.get(page)) + english(visitor.post(page))
            found[f"staff {state} {code}"] = english(desk.get(f"/workshop/requests/{row.pk}/"))
    VehicleRequest.objects.update(state=State.OPEN)
    for do in ("answer", "call", "decline", "tell"):
        wrong = {"do": do, f"{do}-press": "x", f"{do}-seen": "1"}
        found[do] = english(desk.post(f"/workshop/requests/{row.pk}/", wrong))
        late = wrong | {f"{do}-text": "Ja"}
        found[f"{do} late"] = english(desk.post(f"/workshop/requests/{row.pk}/", late))
    for path in ("", "?show=over", "?show=waiting", "new/"):
        found[path] = english(desk.get(f"/workshop/requests/{path}"))
    found["inbox"] = english(desk.get("/workshop/"))
    found["entering"] = english(desk.get(f"/workshop/vehicles/add/?request={row.pk}"))
    assert not any(found.values()), found


def test_every_mail_about_a_request(demo_catalogue: Catalogue) -> None:
    row = VehicleRequest.objects.create(
        press="mail", state=State.OPEN, email="ida@customer.example", language="de", maker="Quillon"
    )
    for kind in LETTERS:
        mail = mailing.write(row, kind, occasion="walk")
        assert mail is not None
        assert left_over([mail.subject, *mail.text.splitlines(), *texts_of(mail.html)]) == [], kind
    with translation.override("de"):
        for wrote in (False, True):
            news = News(kind="asked", said={"request": 1, "vehicle": "Quillon", "wrote": wrote})
            assert left_over([line_of(news).text]) == []
