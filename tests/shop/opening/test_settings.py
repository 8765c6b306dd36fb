"""Setting a site up on its pages: what is missing, each step, undone, opened and closed."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from configurator.catalogue import snapshot
from configurator.catalogue.models import CatalogueVersion, Workshop
from configurator.catalogue.snapshot import Catalogue
from shop.opening import samples, service
from shop.opening.models import SettingChange
from shop.opening.steps import BY_ID
from tests.shop import factories

pytestmark = pytest.mark.django_db
ADDRESS = {
    "name": "Werk Eins", "street": "Weg 1", "postcode": "10115", "town": "Berlin", "country": "DE",
    "email": "werk@eins.example", "phone": "+49 30 1",
}  # fmt: skip


@pytest.fixture
def manager(client: Client) -> Client:
    client.force_login(factories.staff("manager", name="chefin"))
    return client


@pytest.fixture
def begun(db: None) -> None:
    snapshot.forget()
    service.begin()


def post(client: Client, step: str, data: dict[str, Any]) -> Any:
    page = client.get(reverse("shop:setting", args=[step]))
    seen = page.context["form"].initial.get("seen", "")
    return client.post(reverse("shop:setting", args=[step]), {"seen": seen, **data})


def texts(client: Client) -> str:
    return client.get(reverse("shop:settings")).content.decode()


def test_an_empty_site_is_closed_to_customers_and_says_so(begun: None, client: Client) -> None:
    for path in ("/", "/begin/x/", "/build/x/", "/share/x/"):
        answer = client.get(path)
        assert answer.status_code == 503
        assert "still setting this site up" in answer.content.decode()
    assert client.get("/sign-in/").status_code == 200
    assert client.get("/healthz").status_code == 200


def test_staff_see_the_customers_pages_before_they_are_open(begun: None, client: Client) -> None:
    client.force_login(factories.staff("technician"))
    answer = client.get("/")
    assert answer.status_code == 200
    assert "only staff see this page" in answer.content.decode()


def test_a_site_without_these_pages_goes_on_as_it_did(client: Client) -> None:
    assert client.get("/").status_code == 200


def test_the_managers_first_visit_begins_with_the_list_and_only_the_first(
    begun: None, manager: Client
) -> None:
    assert manager.get("/workshop/")["Location"] == reverse("shop:settings")
    assert manager.get("/workshop/").status_code == 200


def test_saving_a_step_is_a_new_catalogue_version_and_leads_to_what_is_missing(
    begun: None, manager: Client
) -> None:
    answer = post(manager, "workshop", ADDRESS)
    assert answer["Location"] == reverse("shop:setting", args=["tax"])
    assert Workshop.objects.get().town == "Berlin"
    version = CatalogueVersion.objects.get()
    assert version.note == "chefin: workshop, workshop"
    post(manager, "workshop", ADDRESS)
    assert CatalogueVersion.objects.get() == version, "the same again is no new version"


@pytest.mark.parametrize(
    ("step", "data", "field"),
    [
        ("workshop", {**ADDRESS, "name": ""}, "name"),
        ("workshop", {**ADDRESS, "country": "de"}, "country"),
        ("workshop", {**ADDRESS, "email": "werk"}, "email"),
        ("bank", {"iban": "DE89370400440532013001"}, "iban"),
        ("tax", {"tax_rate_pct": "19", "currency": "EUR", "labour_rate_per_h": "0", "hours_per_day": "8"},
         "labour_rate_per_h"),
        ("tax", {"tax_rate_pct": "61", "currency": "EUR", "labour_rate_per_h": "90", "hours_per_day": "8"},
         "tax_rate_pct"),
        ("tax", {"tax_rate_pct": "19", "currency": "EUR", "labour_rate_per_h": "90", "hours_per_day": "25"},
         "hours_per_day"),
        ("deposit", {"deposit_pct": "101", "deposit_due_days": "7"}, "deposit_pct"),
        ("look", {"accent": "#ffee00"}, "accent"),
        ("look", {"accent": "red"}, "accent"),
        ("languages", {}, "languages"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field_and_nothing_is_saved(
    begun: None, manager: Client, step: str, data: dict[str, str], field: str
) -> None:
    answer = post(manager, step, data)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not SettingChange.objects.exists()


def test_an_iban_typed_with_blanks_is_taken(begun: None, manager: Client) -> None:
    # ISO 13616-1, the registry's example for Germany
    assert post(manager, "bank", {"iban": "DE89 3704 0044 0532 0130 00"}).status_code == 302
    assert Workshop.objects.get().iban == "DE89370400440532013000"


def test_two_at_once_are_told_and_neither_is_lost_silently(begun: None, manager: Client) -> None:
    page = manager.get(reverse("shop:setting", args=["deposit"]))
    seen = page.context["form"].initial["seen"]
    post(manager, "deposit", {"deposit_pct": "40", "deposit_due_days": "7"})
    late = {"seen": seen, "deposit_pct": "50", "deposit_due_days": "7"}
    answer = manager.post(reverse("shop:setting", args=["deposit"]), late)
    assert answer.status_code == 422
    assert Workshop.objects.get().deposit_pct == 40
    again = {**late, "seen": answer.context["form"].data["seen"]}
    assert manager.post(reverse("shop:setting", args=["deposit"]), again).status_code == 302
    assert Workshop.objects.get().deposit_pct == 50


def test_a_change_is_put_back_and_that_is_a_change_too(begun: None, manager: Client) -> None:
    post(manager, "deposit", {"deposit_pct": "40", "deposit_due_days": "7"})
    change = SettingChange.objects.get()
    manager.post(reverse("shop:setting_undo", args=[change.pk]))
    assert Workshop.objects.get().deposit_pct == 30
    assert SettingChange.objects.count() == 2
    manager.post(reverse("shop:setting_undo", args=[SettingChange.objects.first().pk]))
    assert Workshop.objects.get().deposit_pct == 40


@pytest.mark.long
def test_sample_terms_are_only_typed_in_and_do_not_open_the_shop(begun: None, manager: Client) -> None:
    answer = post(manager, "terms", {"sample": "1"})
    form = answer.context["form"]
    assert form.data["terms"] == samples.sample("terms")
    assert "Widerruf" in form.data["terms-de"] or "widerrufen" in form.data["terms-de"]
    assert not Workshop.objects.get().terms
    typed = {name: form.data[name] for name in ("terms", "terms-de", "local_codes", "local_codes-de")}
    post(manager, "terms", {**typed, "terms_version": "1", "checked": "on"})
    assert samples.is_sample(Workshop.objects.get().terms)
    assert "The terms are our sample still" in texts(manager)
    post(manager, "terms", {"terms": "Ours.", "terms-de": "Unsere.", "terms_version": "2", "checked": "on"})
    assert "sample still" not in texts(manager)
    assert snapshot.current().workshop.terms.texts["de"] == "Unsere."  # type: ignore[union-attr]
    post(manager, "terms", {"terms": "Ours.", "terms_version": "2"})
    assert "Nobody has said that the terms were checked" in texts(manager)


def test_opening_is_refused_while_something_is_missing(begun: None, manager: Client, client: Client) -> None:
    answer = manager.post(reverse("shop:open_or_close", args=["open"]), follow=True)
    assert "Something is still missing" in answer.content.decode()
    assert service.state().opened_at is None  # type: ignore[union-attr]


def fill(manager: Client) -> None:
    post(manager, "workshop", ADDRESS)
    post(manager, "tax", {"tax_rate_pct": "19", "currency": "EUR", "labour_rate_per_h": "88",
                          "hours_per_day": "8"})  # fmt: skip
    post(manager, "bank", {"iban": "DE89370400440532013000"})
    post(manager, "deposit", {"deposit_pct": "30", "deposit_due_days": "7"})
    post(manager, "terms", {"terms": "Ours.", "terms_version": "1", "checked": "on"})
    manager.post(reverse("shop:setting", args=["places"]))


@pytest.mark.long
def test_whole_it_opens_closes_and_opens_again(demo_catalogue: Catalogue, manager: Client) -> None:
    service.begin()
    fill(manager)
    assert manager.get(reverse("shop:settings")).context["blocking"] == []
    for _time in (1, 2):
        manager.post(reverse("shop:open_or_close", args=["open"]))
    assert SettingChange.objects.filter(step="opened").count() == 1
    assert Client().get("/").status_code == 200
    manager.post(reverse("shop:open_or_close", args=["close"]))
    answer = Client().get("/")
    assert answer.status_code == 503
    assert "Closed for now" in answer.content.decode()


@pytest.mark.long
def test_a_running_site_is_closed_by_the_same_button(demo_catalogue: Catalogue, manager: Client) -> None:
    assert "open to customers" in texts(manager)
    manager.post(reverse("shop:open_or_close", args=["close"]))
    assert Client().get("/").status_code == 503


@pytest.mark.long
def test_customers_get_only_the_languages_that_the_site_speaks(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    post(manager, "languages", {"languages": ["de"]})
    answer = Client().get("/", HTTP_ACCEPT_LANGUAGE="en")
    assert 'lang="de"' in answer.content.decode()
    assert 'value="en-gb"' not in answer.content.decode()


def png(size: tuple[int, int] = (900, 300)) -> bytes:
    out = BytesIO()
    Image.new("RGBA", size, (10, 60, 90, 0)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.long
def test_logo_and_accent_are_on_every_page_and_come_off_again(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    file = SimpleUploadedFile("l.png", png(), "image/png")
    post(manager, "look", {"accent": "#7a1f5c", "logo": file})
    state = service.state()
    assert state is not None
    assert (state.logo_width_px, state.logo_height_px) == (480, 160)
    page = Client().get("/").content.decode()
    assert "/look/7a1f5c.css" in page
    address = reverse("look_logo", args=[state.logo.name.removeprefix("look/").removesuffix(".png")])
    assert address in page
    image = Image.open(BytesIO(Client().get(address).content))
    assert image.mode == "RGBA", "a logo keeps its transparency"
    assert "--spot: light-dark(#7a1f5c," in Client().get("/look/7a1f5c.css").content.decode()
    post(manager, "look", {"accent": "", "remove_logo": "on"})
    assert "/look/" not in Client().get("/").content.decode()
    assert Client().get(address).status_code == 404
    taken_away = SettingChange.objects.filter(before__has_key="state").first()
    manager.post(reverse("shop:setting_undo", args=[taken_away.pk]))
    assert address in Client().get("/").content.decode()


@pytest.mark.parametrize("data", [b"", b"GIF89a..", b"<svg xmlns='x'/>", png()[:60]])
def test_what_is_no_logo_is_refused_with_words(begun: None, manager: Client, data: bytes) -> None:
    answer = post(manager, "look", {"accent": "", "logo": SimpleUploadedFile("l.png", data, "image/png")})
    assert answer.status_code == 422
    assert not service.state().logo  # type: ignore[union-attr]


@pytest.mark.long
def test_every_step_has_a_page(begun: None, manager: Client) -> None:
    for step in BY_ID:
        assert manager.get(reverse("shop:setting", args=[step])).status_code == 200
    assert manager.get(reverse("shop:setting", args=["nonsense"])).status_code == 404


@pytest.mark.parametrize(("told", "meant"), [("UK", "GB"), ("EL", "GR")])
def test_a_country_is_named_as_invoices_name_it(begun: None, manager: Client, told: str, meant: str) -> None:
    refused = post(manager, "workshop", {**ADDRESS, "country": told})
    assert refused.context["form"].errors["country"] == [f"Write {meant}: invoices name countries so."]
    assert post(manager, "workshop", {**ADDRESS, "country": meant}).status_code == 302
