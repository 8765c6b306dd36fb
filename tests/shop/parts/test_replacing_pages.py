"""The pages on which a part is had from elsewhere and on which what is left over goes back."""

from __future__ import annotations

from decimal import Decimal

import lxml.html
import pytest
from django.test import Client

from configurator.models import Item, Supplier
from shop.models import PurchaseOrder, Replacement, Shortage, StockLevel, StockMovement
from shop.parts.service import count, issue, place_order, plan_orders, reserve
from tests.shop import factories
from tests.shop.parts.kept import shortages_agree

pytestmark = pytest.mark.django_db
GREASE = {"unit": "g", "kind": "paint", "quantity": Decimal(60), "name": "Grease", "supplier_ref": "G-1"}


@pytest.fixture(autouse=True)
def suppliers(db: None) -> None:
    factories.make_workshop()
    for code, name in (("northwheel", "Northwheel"), ("radhaus", "Radhaus")):
        Supplier.objects.create(code=code, name=name)
    more = {"supplier_id": Supplier.objects.get(code="radhaus").pk, "unit_cost": 1, "unit_price": 2}
    Item.objects.create(code="grease-b", name="Other grease", unit="g", **more)
    Item.objects.create(code="tape", name="Tape", unit="m", **more)


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(factories.staff(role))
    return client


def ordered(**changes: object):
    """Return a job whose one part is on order, and the order's line."""
    job = factories.job(factories.evaluation(parts=(factories.part(**changes),)), state="deposit_in")
    return job, place_order(supplier="northwheel", by=None).lines.get()


def page_of(line) -> str:
    return f"/workshop/orders/{line.order.number}/replace/{line.pk}/"


def told(**changes: str) -> dict[str, str]:
    plain = {
        "press": "k1",
        "supplier": "radhaus",
        "supplier_ref": "R-9",
        "item": "",
        "unit_cost_net": "120.50",
        "lead_time_days": "3",
        "why": "Discontinued.",
    }
    return {**plain, **changes}


def test_the_same_part_from_another_supplier_is_to_be_ordered_there_once() -> None:
    job, line = ordered()
    buyer = signed_in("buyer")
    page = buyer.get(page_of(line))
    assert job.number in page.text
    assert page.context["form"].initial["unit_cost_net"] == Decimal(110)
    first, second = (buyer.post(page_of(line), told()) for _press in range(2))
    assert (first.status_code, first.url) == (302, "/workshop/parts/")
    assert second.status_code == 302
    line.refresh_from_db()
    assert (line.not_coming, PurchaseOrder.objects.get().state) == ("Discontinued.", "closed")
    ((group, need),) = [(group.code, need) for group in plan_orders() for need in group.needs]
    assert (group, need.quantity, need.part.unit_cost_net) == ("radhaus", 4, Decimal("120.5"))
    assert Replacement.objects.count() == 1
    shortages_agree()
    assert job.history.get(action="parts.replaced").why == "Discontinued."
    # What the customer agreed to pay for it stays.
    assert job.parts.get().amount == 800


def test_another_part_counted_alike_stands_in_and_the_old_one_is_wanted_no_more() -> None:
    job, line = ordered(item="grease", **GREASE)
    shortages_agree()
    buyer = signed_in("buyer")
    assert [code for code, _name in buyer.get(page_of(line)).context["form"].fields["item"].choices] == [
        "",
        "grease-b",
    ]
    assert buyer.post(page_of(line), told(item="grease-b")).status_code == 302
    assert (job.parts.get().item, job.parts.get().sku) == ("grease-b", "grease-b")
    shortages_agree()
    assert list(Shortage.objects.values_list("sku", flat=True)) == ["grease-b"]


def test_a_wheel_is_not_swapped_behind_the_customers_back() -> None:
    _job, line = ordered()
    page = signed_in("buyer").get(page_of(line))
    assert [code for code, _name in page.context["form"].fields["item"].choices] == [""]
    assert "propose that to the customer" in page.text


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"why": " "}, "why"),
        ({"supplier": "nobody"}, "supplier"),
        ({"unit_cost_net": "-1"}, "unit_cost_net"),
        ({"lead_time_days": "soon"}, "lead_time_days"),
        ({"item": "tape"}, "item"),
    ],
)
def test_what_is_wrong_is_told_beside_its_field_and_nothing_typed_is_lost(
    wrong: dict[str, str], field: str
) -> None:
    _job, line = ordered(item="grease", **GREASE)
    answer = signed_in("buyer").post(page_of(line), told(**wrong))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert 'value="R-9"' in answer.text
    assert not Replacement.objects.exists()
    line.refresh_from_db()
    assert line.open == 60


def test_when_nobody_lacks_it_any_more_the_page_leads_back() -> None:
    job, line = ordered()
    job.parts.update(dropped=True)
    answer = signed_in("buyer").get(page_of(line), follow=True)
    assert "No job lacks this part any more." in answer.text
    assert answer.request["PATH_INFO"] == f"/workshop/orders/{line.order.number}/"


def handed_out():
    """Return a job that was given four wheels and needs none: its line was taken off."""
    job = factories.job(factories.evaluation(parts=(factories.part(),)), state="parts_in")
    count(sku="wheel-a", quantity=Decimal(4))
    reserve(skus=["wheel-a"])
    issue(job=job)
    job.parts.update(dropped=True)
    return job, job.parts.get()


def back(client: Client, job, part, quantity: str, issued: str = "4"):
    data = {"part": part.pk, "issued": issued, "quantity": quantity}
    return client.post(f"/workshop/jobs/{job.number}/parts/back/", data, follow=True)


@pytest.mark.long
def test_what_is_left_over_goes_back_once_and_whoever_waits_gets_it() -> None:
    job, part = handed_out()
    buyer = signed_in("buyer")
    page = f"/workshop/jobs/{job.number}/parts/"
    assert [row[:2] for row in buyer.get(page).context["surplus"]] == [(part, 4)]
    other = factories.job(factories.evaluation(parts=(factories.part(),)), state="deposit_in")
    assert "It is back on the shelf." in back(buyer, job, part, "3").text
    assert "That was put back already." in back(buyer, job, part, "3").text
    assert StockLevel.objects.get(sku="wheel-a").quantity == 3
    assert other.parts.get().reservation.quantity == 3
    assert StockMovement.objects.filter(reason="returned").count() == 1
    assert [row[:2] for row in buyer.get(page).context["surplus"]] == [(part, 1)]
    shortages_agree()


@pytest.mark.parametrize(
    ("quantity", "why"),
    [
        ("5", "Only what is left over can go back: 4."),
        ("0", "greater than or equal to 0.001"),
        ("-1", "greater than or equal to 0.001"),
        ("four", "Enter a number."),
        ("", "This field is required."),
        ("0.0001", "no more than 3 decimal places"),
    ],
)
def test_what_does_not_go_back_is_told_beside_its_field_and_what_was_typed_stays(
    quantity: str, why: str
) -> None:
    job, part = handed_out()
    answer = back(signed_in("technician"), job, part, quantity)
    assert (answer.status_code, answer.templates[0].name) == (422, "shop/parts/job.html")
    assert StockLevel.objects.get(sku="wheel-a").quantity == 0
    page = lxml.html.fromstring(answer.text)
    field, error = f"id_{part.pk}_quantity", f"id_{part.pk}_quantity_error"
    told = page.get_element_by_id(field).attrib
    assert told.get("value", "") == quantity
    assert (told["aria-invalid"], told["aria-describedby"]) == ("true", error)
    said = page.get_element_by_id(error).text_content()
    assert why in said
    assert "4.000" not in said


def test_each_line_keeps_its_own_figure_and_what_is_wanted_again_stays_with_the_job() -> None:
    job = factories.job(
        factories.evaluation(parts=(factories.part(), factories.part(item="grease", **GREASE))),
        state="parts_in",
    )
    for sku, many in (("wheel-a", 4), ("grease", 60)):
        count(sku=sku, quantity=Decimal(many))
        reserve(skus=[sku])
    issue(job=job)
    job.parts.update(dropped=True)
    wheels, grease = job.parts.get(sku="wheel-a"), job.parts.get(name="Grease")
    buyer = signed_in("buyer")
    page = lxml.html.fromstring(back(buyer, job, grease, "61", "60").text)
    assert page.get_element_by_id(f"id_{grease.pk}_quantity").value == "61"
    assert page.get_element_by_id(f"id_{wheels.pk}_quantity").value == "4"
    assert len(page.xpath("//form[contains(@action, '/parts/back/')]//*[@class='error']")) == 1
    job.parts.update(dropped=False)
    answer = back(buyer, job, grease, "60", "60")
    assert answer.status_code == 422
    assert "nothing is left over of this part any more" in answer.text


def test_a_line_of_another_job_does_not_go_back_here() -> None:
    _job, part = handed_out()
    other = factories.job(state="parts_in")
    assert "Nothing was put back" in back(signed_in("buyer"), other, part, "1").text
