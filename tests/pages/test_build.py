"""The build page: the server decides, and whatever is posted gets an answer."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.db.models import F
from django.test import Client

from configurator.models import CatalogueVersion, Generation, Item, Spec, SpecRevision
from shop.models import Job

from .conftest import WHEEL, Visitor


def error_beside(html: str, field: str) -> str:
    """Return the error text inside the field's own box."""
    box = html.split(f'id="div_id_{field}"', 1)[1].split("</fieldset>")[0]
    found = re.search(r'id="id_' + re.escape(field) + r'_error">(.*?)</div>', box, re.S)
    return re.sub(r"<[^>]+>|\s+", " ", found[1]).strip() if found else ""


@pytest.mark.long
def test_start_lists_every_vehicle_with_its_picture(client: Client, demo_catalogue) -> None:
    html = client.get("/").content.decode()
    for generation in demo_catalogue.generations.values():
        assert f"Begin with the {generation}" in html
    assert html.count("<svg") >= len(demo_catalogue.generations)


@pytest.mark.long
def test_begin_needs_a_post_and_a_known_vehicle(client: Client, demo_catalogue) -> None:
    assert client.get("/begin/haldor-2/").status_code == 405
    for hostile in ("nothing", "HALDOR", "a" * 300, "%00", "..", "haldor-2;drop"):
        assert client.post(f"/begin/{hostile}/").status_code == 404
    assert Spec.objects.count() == 0


@pytest.mark.long
def test_a_plain_submit_saves_and_leads_back(visitor: Visitor) -> None:
    answer = visitor.post()
    assert (answer.status_code, answer["Location"]) == (302, visitor.url)
    assert visitor.spec.selection["front"]["wheel"] == WHEEL
    assert visitor.spec.selection["rear"] == visitor.spec.selection["front"]
    assert "Needs 42 mm bolts, which we add." in visitor.page()


@pytest.mark.long
def test_an_update_in_place_carries_only_what_changes(visitor: Visitor) -> None:
    html = visitor.post(in_place=True).content.decode()
    assert "<html" not in html
    assert 'id="live-strip" hx-swap-oob="innerHTML"' in html
    total = visitor.spec.evaluation["price"]["total"]
    assert f"€{float(total):,.2f}" in html


@pytest.mark.long
def test_an_update_replaces_only_the_lists_that_look_different(visitor: Visitor) -> None:
    visitor.post()
    seen = dict(re.findall(r'name="(\w+-seen)" value="(\w+)"', visitor.page()))
    html = visitor.post(in_place=True, **seen, spacer="sp-5x112-666-10").content.decode()
    replaced = set(re.findall(r'id="list-(\w+)" hx-swap-oob', html))
    # Its own list stays, so that nothing under the finger is replaced.
    assert "spacer" not in replaced
    assert not re.search(r'<(?:input|textarea)[^>]*name="(?:spacer|notes|body_finish|f-)', html)
    other = visitor.post(
        in_place=True, **seen, wheel="torvik-6.5x16-5x112-et50-silver", tyre=""
    ).content.decode()
    replaced = set(re.findall(r'id="list-(\w+)" hx-swap-oob', other))
    assert "tyre" in replaced
    assert "wheel" not in replaced


def test_a_new_wheel_gets_a_tyre_of_its_size(visitor: Visitor) -> None:
    html = visitor.post(in_place=True, tyre="").content.decode()
    assert visitor.spec.selection["front"]["tyre"] == "haul-225-50r18c-108-106t"
    assert "Tyres now:" in html


def test_the_rear_can_differ(visitor: Visitor) -> None:
    visitor.post(rear_differs="on", rear_wheel="", rear_tyre="", rear_spacer="")
    assert visitor.spec.selection["rear"] == {"wheel": None, "tyre": None, "spacer": None}


@pytest.mark.long
@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("wheel", "no-such-wheel", "We do not have this wheel"),
        ("wheel", "skerry-3.5x17-gloss-black", "wheel"),
        ("tyre", "no-such-tyre", "We do not have this tyre"),
        ("spacer", "no-such-spacer", "We do not have this spacer"),
        ("body_finish", "quince-yellow", "does not come in this colour"),
        ("accent", "tarnside-green", "not one of our accent colours"),
        ("wheel", "<script>alert(1)</script>", "We do not know this choice"),
        ("accent", "Ünïcode \u202e", "We do not know this choice"),
        ("f-calipers", ["calipers-front", "nonsense!"], "We do not know this choice"),
    ],
)
def test_bad_choices_are_told_beside_their_field(visitor: Visitor, field: str, value, said: str) -> None:
    answer = visitor.post(**{field: value}, notes="still here")
    html = answer.content.decode()
    assert answer.status_code == 422
    assert said in error_beside(html, field)
    assert "still here" in html
    assert "<script>alert" not in html


@pytest.mark.long
def test_an_unknown_option_is_told_and_nothing_else_is_lost(visitor: Visitor) -> None:
    answer = visitor.post(**{"f-calipers": ["calipers-front", "calipers-golden"]})
    assert answer.status_code == 422
    assert "calipers-golden" in answer.content.decode()
    assert "calipers-front" in visitor.spec.selection["options"]


@pytest.mark.long
def test_a_motorcycle_wheel_does_not_go_on_a_van(visitor: Visitor, demo_catalogue) -> None:
    code = next(w.code for w in demo_catalogue.wheels.values() if w.vehicle_class == "motorcycle")
    answer = visitor.post(wheel=code)
    assert answer.status_code == 422
    assert "made for another kind of vehicle" in error_beside(answer.content.decode(), "wheel")


def test_prices_in_the_post_change_nothing(visitor: Visitor) -> None:
    visitor.post()
    honest = visitor.spec.evaluation["price"]
    visitor.post(price="0.01", total="0", amount="-5", unit_price="0", deposit="0")
    assert visitor.spec.evaluation["price"] == honest


def test_bad_addresses_are_not_found(client: Client, demo_catalogue) -> None:
    for path in ("/build/nope/", "/share/nope/", "/share/nope/card.png", "/build/nope/section/front.svg"):
        assert client.get(path).status_code == 404
    assert client.get("/build/nope/compare/").status_code == 404
    assert client.post("/build/nope/photos/").status_code == 404


def test_a_build_of_a_vehicle_that_is_gone_says_so(visitor: Visitor) -> None:
    Spec.objects.update(selection={"generation": "no-longer"})
    answer = visitor.client.get(visitor.url)
    assert answer.status_code == 410
    assert "configurator/gone.html" in {each.name for each in answer.templates}


@pytest.mark.long
def test_conflicts_are_explained_and_undone_by_one_button(visitor: Visitor) -> None:
    changes = {"f-front-badge": "badge-front", "f-removals": ["front-badge-remove"]}
    visitor.post(**changes)
    html = visitor.page()
    assert "A front badge that is taken off cannot be painted." in html
    button = re.search(r'name="change" value="([-+][^"]*badge[^"]*)"', html)
    assert button
    answer = visitor.post(**changes, change=button[1])
    assert answer.status_code == 302
    chosen = set(visitor.spec.selection["options"])
    assert len(chosen & {"badge-front", "front-badge-remove"}) == 1
    assert "badge-front" in chosen or "front-badge-remove" in chosen


@pytest.mark.long
def test_a_closed_option_stays_visible_with_reason_and_opens_by_its_button(visitor: Visitor) -> None:
    visitor.post(**{"f-front-badge": "badge-front"})
    html = visitor.page()
    state = html.split('id="state-front-badge-remove"', 1)[1].split("</div>", 1)[0]
    assert "cannot be painted" in state
    button = re.search(r'name="change" value="([^"]+)"', state)
    assert button
    visitor.post(**{"f-front-badge": "badge-front"}, change=button[1])
    assert "front-badge-remove" in visitor.spec.selection["options"]
    assert "badge-front" not in visitor.spec.selection["options"]


@pytest.mark.long
def test_a_change_that_nobody_knows_changes_nothing(visitor: Visitor) -> None:
    for hostile in ("conflict:0", "wheel", "../", "", "calipers-rear", "+no-such", "accent=no-such"):
        answer = visitor.post(change=hostile)
        assert answer.status_code == 302
    assert visitor.spec.selection["options"] == ["calipers-front", "standard-bumper"]


def test_an_own_colour_stays_visible_beside_its_nearest_paint(visitor: Visitor) -> None:
    html = visitor.post(in_place=True, accent="own", accent_wanted="#d9591f").content.decode()
    assert visitor.spec.selection["accent"] == "ember-orange"
    assert visitor.spec.selection["accent_wanted_hex"] == "#d9591f"
    assert visitor.spec.selection["accent_way"] == "nearest"
    assert "Your wish, #d9591f, goes to the workshop as it is." in html
    assert "Our nearest paint is <strong>Ember orange</strong>" in html
    assert "ΔE" not in html
    assert any("#d9591f" in line for line in visitor.spec.evaluation["summary"])


@pytest.mark.long
def test_a_colour_mixed_for_the_customer_has_its_price_and_its_name(visitor: Visitor) -> None:
    own = {"accent": "own", "accent_wanted": "#ff66aa"}
    html = visitor.post(in_place=True, **own).content.decode()
    nearest = Decimal(visitor.spec.evaluation["price"]["total"])
    shown = re.search(r'id="diff-way-mixed"[^>]*>\+€([\d.,]+)<', html)
    assert shown
    visitor.post(in_place=True, **own, accent_way="mixed")
    evaluation = visitor.spec.evaluation
    assert f"{Decimal(evaluation['price']['total']) - nearest:,.2f}" == shown[1]
    assert evaluation["accent"]["hex"] == "#ff66aa"
    assert "#ff66aa" in evaluation["names"]["calipers-front"]
    assert any("mixed" in line["label"] for line in evaluation["price"]["lines"])
    # Taking the mixing out again leaves the nearest paint.
    visitor.post(**own, accent_way="mixed", change="way=nearest")
    assert Decimal(visitor.spec.evaluation["price"]["total"]) == nearest


@pytest.mark.long
def test_a_colour_to_decide_together_is_said_to_both_sides(visitor: Visitor) -> None:
    own = {"accent": "own", "accent_wanted": "#ff66aa", "accent_way": "decide"}
    assert visitor.send(**own).status_code == 302
    evaluation = SpecRevision.objects.get().evaluation
    assert "to settle with you" in evaluation["names"]["calipers-front"]
    wish = next(line for line in evaluation["summary"] if "#ff66aa" in line)
    assert "decided together" in wish
    job = visitor.client.get(f"/job/{Job.objects.get().token}/").content.decode()
    assert "#ff66aa" in job


@pytest.mark.parametrize("way", ["x", "<b>", "mixed"])
def test_a_way_without_a_wish_or_unknown_changes_nothing(visitor: Visitor, way: str) -> None:
    visitor.post(accent_way=way)
    assert visitor.spec.selection["accent_way"] == "nearest"


@pytest.mark.long
@pytest.mark.parametrize("generation", Generation.BodyStyle.values)
def test_every_body_style_has_a_page(client: Client, demo_catalogue, generation: str) -> None:
    row = next(g for g in demo_catalogue.generations.values() if g.body_style == generation)
    html = Visitor(client, row.code).page()
    assert str(row) in html
    assert ('id="list-spacer"' in html) is row.takes_spacers


@pytest.mark.long
def test_a_stale_build_says_what_changed_before_it_can_be_sent(visitor: Visitor) -> None:
    visitor.post()
    total = visitor.spec.evaluation["price"]["total"]
    Item.objects.filter(code=WHEEL).update(unit_price=F("unit_price") + 100)
    newest = CatalogueVersion.objects.first()
    CatalogueVersion.objects.create(number=newest.number + 1, digest="dearer")
    html = visitor.page()
    assert "Something has changed since you last saw this build" in html
    assert f"{Decimal(total):,.2f}" in html


@pytest.mark.long
def test_pages_carry_a_strict_policy(visitor: Visitor) -> None:
    for path in ("/", visitor.url, "/sign-in/", "/nope/"):
        answer = visitor.client.get(path)
        policy = answer["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        html = answer.content.decode()
        assert " style=" not in html
        assert not re.search(r"<script(?![^>]*src=)", html)
        assert not re.search(r"\son[a-z]+=", html)


def test_preferences_are_kept_and_never_lead_away(client: Client, demo_catalogue) -> None:
    answer = client.post("/preferences/", {"theme": "dark", "units": "in", "next": "//elsewhere.example/"})
    assert answer["Location"] == "/"
    assert 'data-theme="dark"' in client.get("/").content.decode()
    client.post("/preferences/", {"theme": "<b>", "units": "ells"})
    assert client.cookies["theme"].value == "dark"
    client.post("/preferences/", {"theme": "auto"})
    assert "data-theme" not in client.get("/").content.decode()


@pytest.mark.long
def test_inches_for_those_who_think_in_them(visitor: Visitor) -> None:
    visitor.post()
    visitor.client.cookies["units"] = "in"
    html = visitor.page()
    assert "Needs 1.65\xa0in bolts" in html  # 42 mm / 25.4


@pytest.mark.long
def test_another_body_colour_is_stated_by_its_code(visitor: Visitor) -> None:
    own = {"body_finish": "own", "body_code": " LX  3D ", "body_tone": "#334455"}
    html = visitor.post(in_place=True, **own).content.decode()
    chosen = visitor.spec.selection
    assert (chosen["body_finish"], chosen["body_hex"], chosen["body_code"]) == (None, "#334455", "LX 3D")
    assert "colour code LX 3D" in html
    page = visitor.page()
    assert 'name="body_finish" value="own"' in page
    assert 'value="LX 3D"' in page
    visitor.post(in_place=True, body_finish="drift-white", body_code="???")
    assert visitor.spec.selection["body_code"] == ""
    assert visitor.spec.selection["body_finish"] == "drift-white"


def test_what_is_no_code_is_said_beside_its_field_and_kept(visitor: Visitor) -> None:
    answer = visitor.post(body_finish="own", body_code="www.prize.example")
    html = answer.content.decode()
    assert answer.status_code == 422
    field = html.split('id="div_id_body_code"', 1)[1].split("</div>", 3)
    assert "as on the plate" in "".join(field)
    assert 'value="www.prize.example"' in html
