"""The office's pages of the catalogue: listed, edited beside the checks, tried, put live, taken back."""

from __future__ import annotations

import io
import zipfile
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from configurator.catalogue import drafts, models, snapshot
from configurator.catalogue.models_changes import Release
from configurator.catalogue.plain import kind_of, live_rows
from configurator.catalogue.snapshot import Catalogue
from configurator.pictures.wheels import DESIGNS
from shop.parts.models import StockLevel
from shop.range.lists import KINDS
from tests.shop import factories

WHEEL = "torvik-6.5x16-5x112-et50-silver"
GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de"}


@pytest.fixture
def manager(demo_catalogue: Catalogue) -> Client:
    return signed_in("manager", "anke")


def signed_in(role: str, name: str) -> Client:
    client = Client()
    client.force_login(factories.staff(role, name=name))
    return client


def form_of(client: Client, address: str) -> dict[str, Any]:
    """Return what the form on a page would send as it stands."""
    form = client.get(address).context["form"]
    sent: dict[str, Any] = {}
    for field in [*form, *(one for inner in form.inner for row in inner.rows for one in row)]:
        value = field.value()
        name = field.html_name
        if field.name.endswith(("_profile_mm", "_envelope_mm")):
            pairs = [pair.split(":") for pair in str(value or "").split()]
            sent[f"{name}-r"], sent[f"{name}-y"] = [p[0] for p in pairs], [p[1] for p in pairs]
        elif isinstance(value, bool):
            if value:
                sent[name] = "on"
        elif isinstance(value, list):
            sent[name] = [one.removeprefix("!") for one in value]
            sent[f"{name}-not"] = [n for n, one in enumerate(value) if one.startswith("!")]
        elif value is not None:
            sent[name] = value
    return sent


def row_at(kind: str, key: str) -> str:
    return reverse("shop:range_row", args=[kind, key])


@pytest.mark.parametrize("several", [slice(1), pytest.param(slice(1, 5), marks=pytest.mark.long)])
@pytest.mark.parametrize("kind", KINDS)
def test_a_row_saved_as_it_stands_changes_nothing(manager: Client, kind: str, several: slice) -> None:
    for key, _row in list(live_rows(kind_of(kind)))[several]:
        address = row_at(kind, key)
        answer = manager.post(address, form_of(manager, address))
        assert answer.status_code == 302, (key, answer.context["form"].errors)
        draft = drafts.shared()
        assert draft is None or list(draft.rows.values_list("key", "data")) == []


@pytest.mark.long
def test_every_list_is_searched_filtered_sorted_and_paged(manager: Client) -> None:
    for kind in KINDS:
        found = manager.get(reverse("shop:range_rows", args=[kind]), {"q": "zzz", "state": "all", "page": 7})
        assert found.status_code == 200
        assert found.context["lines"] == []
    address = reverse("shop:range_rows", args=["fasteners"])
    first = manager.get(address, {"sort": "-unit_price"}).context
    prices = [Decimal(line.row["unit_price"]) for line, _cells in first["lines"]]
    assert len(prices) == 50
    assert prices == sorted(prices, reverse=True)
    only = manager.get(address, {"kind": "nut", "locking": "no"}).context["lines"]
    assert only
    assert all(line.row["kind"] == "nut" and not line.row["locking"] for line, _cells in only)


@pytest.mark.long
def test_a_list_costs_the_same_queries_however_long(
    manager: Client, django_assert_max_num_queries: Any
) -> None:
    address = reverse("shop:range_rows", args=["fasteners"])
    manager.get(address)
    with django_assert_max_num_queries(24):
        manager.get(address)


@pytest.mark.long
def test_a_mistake_stands_beside_its_field_and_nothing_typed_is_lost(manager: Client) -> None:
    address = row_at("wheels", WHEEL)
    sent = {**form_of(manager, address), "design": "no-such", "bolt_count": "", "unit_price": "12,5x"}
    answer = manager.post(address, sent)
    assert answer.status_code == 422
    assert answer.context["form"].errors == {"unit_price": ["‘12.5x’ is not a number."]}
    assert answer.context["form"]["design"].value() == "no-such"
    again = manager.post(address, {**sent, "unit_price": "12,5"}, **GERMAN)
    assert again.context["form"].errors == {
        "design": [f"Es gibt kein gezeichnetes Raddesign ‚no-such‘; es gibt: {', '.join(sorted(DESIGNS))}."],
        "bolt_circle_mm": ["Geben Sie die Anzahl der Löcher und ihren Kreis an, oder keines von beiden."],
    }
    assert drafts.shared() is None


@pytest.mark.long
def test_a_step_of_a_recipe_is_judged_beside_its_own_field(manager: Client) -> None:
    address = row_at("recipes", "arch-trims-fit")
    sent = {**form_of(manager, address), "operation-1-hands_on_h": "-1"}
    form = manager.post(address, sent).context["form"]
    (steps,) = [inner for inner in form.inner if inner.column.name == "operation"]
    assert steps.rows[1].errors == {"hands_on_h": ["‘-1’ must be at least 0."]}


@pytest.mark.long
def test_added_copied_tried_live_and_taken_back(manager: Client) -> None:
    add = reverse("shop:range_add", args=["wheels"]) + f"?copy={WHEEL}"
    sent = {**form_of(manager, add), "code": "torvik-new", "name": "Torvik new", "supplier_ref": "TN1"}
    assert manager.post(add, sent).status_code == 302
    assert manager.post(add, sent).status_code == 422  # there already, in the draft
    listed = manager.get(reverse("shop:range_rows", args=["wheels"])).context["lines"]
    assert (listed[0][0].key, listed[0][0].drafted) == ("torvik-new", "new")
    assert manager.get(reverse("shop:range_try")).status_code == 200
    assert "torvik-new" not in snapshot.current().wheels
    manager.post(reverse("shop:range_put_live"), {"title": "One more"})
    release = Release.objects.all()[0]
    assert (release.title, release.by.username) == ("One more", "anke")  # type: ignore[union-attr]
    assert "torvik-new" in snapshot.current().wheels
    page = manager.get(reverse("shop:range_history", args=["wheels", "torvik-new"])).content.decode()
    assert "The row was added." in page
    manager.post(reverse("shop:range_take_back", args=[release.pk]))
    assert "torvik-new" not in snapshot.current().wheels


@pytest.mark.long
def test_retired_is_not_offered_and_comes_back(manager: Client) -> None:
    for gone in (True, False):
        manager.post(reverse("shop:range_retire", args=["wheels", WHEEL]))
        manager.post(reverse("shop:range_put_live"))
        assert (WHEEL not in snapshot.current().wheels) is gone
        assert WHEEL in snapshot.current().items
    shown = manager.get(reverse("shop:range_history", args=["wheels", WHEEL])).content.decode()
    assert shown.count("Retired") == 2


@pytest.mark.long
def test_what_others_still_need_cannot_be_retired(manager: Client) -> None:
    manager.post(reverse("shop:range_retire", args=["suppliers", "tarnick"]))
    answer = manager.post(reverse("shop:range_put_live"))
    assert answer.status_code == 422
    assert "‘tarnick’ is retired." in answer.content.decode()
    assert not models.Supplier.objects.get(code="tarnick").retired


@pytest.mark.long
def test_the_second_of_two_sees_what_the_first_did_and_decides(manager: Client) -> None:
    address = row_at("wheels", WHEEL)
    mine = form_of(manager, address)
    other = signed_in("manager", "berit")
    assert other.post(address, {**form_of(other, address), "unit_price": "211"}).status_code == 302
    answer = manager.post(address, {**mine, "unit_price": "222"})
    assert answer.status_code == 422
    (told,) = answer.context["form"].non_field_errors()
    assert "berit" in told
    assert "211" in told
    seen = answer.context["form"]["seen"].value()
    assert manager.post(address, {**mine, "unit_price": "222", "seen": seen}).status_code == 302
    draft = drafts.shared()
    assert draft is not None
    assert draft.rows.get().data["unit_price"] == "222"


@pytest.mark.long
def test_a_rule_is_chosen_from_what_there_is(manager: Client) -> None:
    add = reverse("shop:range_add", args=["rules"])
    sent = {
        "code": "no-grille-with-radar",
        "kind": "excludes",
        "if_all": ["front-radar", "haldor-splitter-l1"],
        "reason": "They share one place.",
        "generations": ["haldor-2"],
        "active": "on",
        "text-de-reason": "Sie brauchen denselben Platz.",
    }
    assert manager.post(add, {**sent, "if_all": ["front-radar"]}).status_code == 422
    assert manager.post(add, sent).status_code == 302
    manager.post(reverse("shop:range_put_live"))
    rule = snapshot.current().rules["no-grille-with-radar"]
    assert rule.if_all == ["front-radar", "haldor-splitter-l1"]
    assert rule.reason.texts["de"] == "Sie brauchen denselben Platz."  # type: ignore[attr-defined]


@pytest.mark.long
def test_prices_of_many_move_at_once(manager: Client) -> None:
    address = reverse("shop:range_rows", args=["wheels"]) + "?q=torvik"
    sent = {"deed": "price-pct", "amount": "10", "step": "1", "everything": "on"}
    before = {code: one.item.unit_price for code, one in snapshot.current().wheels.items()}
    assert manager.post(address, sent).status_code == 302
    manager.post(reverse("shop:range_put_live"))
    after = {code: one.item.unit_price for code, one in snapshot.current().wheels.items()}
    moved = {code for code in before if before[code] != after[code]}
    assert moved == {code for code in before if code.startswith("torvik")}
    assert after[WHEEL] == 223  # 203 and a tenth, to the whole
    assert manager.post(address, {"deed": "price-pct", "amount": "10"}).status_code == 422


@pytest.mark.long
def test_a_buyer_moves_prices_and_counts_and_nothing_else(demo_catalogue: Catalogue) -> None:
    buyer = signed_in("buyer", "petra")
    address = row_at("wheels", WHEEL)
    sent = {**form_of(buyer, address), "unit_cost": "120", "name": "Mine"}
    assert buyer.post(address, sent).status_code == 302
    draft = drafts.shared()
    assert draft is not None
    (row,) = draft.rows.all()
    assert (row.data["unit_cost"], row.data["name"]) == ("120", "Torvik 6.5×16 ET50 silver")
    assert buyer.post(reverse("shop:range_put_live")).status_code == 302
    assert buyer.post(reverse("shop:range_add", args=["wheels"]), {}).status_code == 403
    signed_in("manager", "anke").post(reverse("shop:range_retire", args=["wheels", WHEEL]))
    assert buyer.post(reverse("shop:range_put_live")).status_code == 403


@pytest.mark.long
def test_the_sheet_sets_counts_at_once_and_prices_in_the_draft(manager: Client) -> None:
    address = reverse("shop:range_prices") + "?q=primer-plastic"
    lines = manager.get(address).context["lines"]
    sent = {field.html_name: field.value() for line in lines for field in line.form}
    sent = {name: "" if value is None else value for name, value in sent.items()}
    sent |= {"primer-plastic-quantity": "3", "primer-plastic-unit_price": "80"}
    assert manager.post(address, sent).status_code == 302
    assert StockLevel.objects.get(sku="primer-plastic").quantity == 3
    draft = drafts.shared()
    assert draft is not None
    assert draft.rows.get().data["unit_price"] == "80"
    late = manager.post(address, {**sent, "primer-plastic-quantity": "5"})
    assert late.status_code == 422  # both were changed since that sheet was shown
    assert StockLevel.objects.get(sku="primer-plastic").quantity == 3


@pytest.mark.long
def test_the_archive_goes_out_and_in_and_does_not_put_edits_back(manager: Client) -> None:
    files = reverse("shop:range_files")
    packed = b"".join(manager.get(reverse("shop:range_download")).streaming_content)  # type: ignore[arg-type]
    names = zipfile.ZipFile(io.BytesIO(packed)).namelist()
    assert "wheels.csv" in names
    assert "bodies/haldor-2.json" in names
    address = row_at("wheels", WHEEL)
    manager.post(address, {**form_of(manager, address), "unit_price": "211"})
    manager.post(reverse("shop:range_put_live"))
    answer = manager.post(files, {"file": archive(packed)})
    assert answer.status_code == 422
    assert answer.context["newer_count"] == 1
    assert models.Item.objects.get(code=WHEEL).unit_price == 211
    assert manager.post(files, {"file": archive(packed), "over_newer": "on"}).status_code == 302
    assert models.Item.objects.get(code=WHEEL).unit_price == 203
    assert manager.post(files, {"file": archive(b"no")}).status_code == 422


def archive(content: bytes) -> io.BytesIO:
    file = io.BytesIO(content)
    file.name = "catalogue.zip"
    return file


@pytest.mark.long
def test_what_a_language_lacks_is_listed_and_filled_in(manager: Client) -> None:
    models.CatalogueText.objects.filter(kind="families", code="rear-doors").delete()
    snapshot.forget()
    address = reverse("shop:range_texts", args=["de"])
    lines = manager.get(address).context["lines"]
    (row,) = [row for row, _field in lines if row.text.code == "rear-doors"]
    assert manager.post(address, {row.field_name: "Türen am Heck"}).status_code == 302
    manager.post(reverse("shop:range_put_live"))
    assert snapshot.current().families["rear-doors"].name.texts["de"] == "Türen am Heck"  # type: ignore[attr-defined]
