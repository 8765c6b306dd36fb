"""The build page as a whole: evaluated once, honest about where it stands, kept apart between tabs."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

import pytest

from configurator.builds import verdicts
from configurator.models import Spec
from shop.models import Job

from .conftest import CONTACT, Visitor

CLASH = {"f-front-badge": "badge-front", "f-removals": ["front-badge-remove"]}


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often the rules judged a build since this was last cleared: once an evaluation."""
    seen: Counter[str] = Counter()
    real = verdicts.judge

    def counting(*args: Any) -> Any:
        seen["evaluations"] += 1
        return real(*args)

    monkeypatch.setattr(verdicts, "judge", counting)
    return seen


def test_every_request_evaluates_once(visitor: Visitor, judged: Counter[str]) -> None:
    visitor.post(**CONTACT)
    visitor.page()  # ready-made looks are judged once a catalogue, not once a request
    steps = {
        "look": lambda: visitor.page(),
        "update": lambda: visitor.post(in_place=True, spacer=""),
        "plain": lambda: visitor.post(),
        "change": lambda: visitor.post(in_place=True, change="-calipers-front"),
        "list": lambda: visitor.client.get(f"{visitor.url}list/wheel/", headers={"HX-Request": "true"}),
        "refused": lambda: visitor.post(do="send", name=""),
        "send": lambda: visitor.post(**CONTACT, do="send"),
    }
    for name, step in steps.items():
        judged.clear()
        step()
        # What was last shown is sent as it is.
        assert judged["evaluations"] == (0 if name == "send" else 1), name
    assert Job.objects.count() == 1


def strip(html: str) -> str:
    found = html.split('id="live-strip"', 1)[1].split("</div>")[0]
    return re.sub(r"\s+", " ", found)


@pytest.mark.long
def test_no_green_tick_over_a_clash(visitor: Visitor) -> None:
    visitor.post()
    assert "is-ok" in strip(visitor.page()) or "is-warn" in strip(visitor.page())
    visitor.post(**CLASH)
    found = strip(visitor.page())
    assert "is-stop" in found
    assert "does not go together" in found
    assert "is-ok" not in found


@pytest.mark.long
def test_a_missing_colour_is_asked_beside_the_option(visitor: Visitor) -> None:
    html = visitor.post(in_place=True, accent="").content.decode()
    state = html.split('id="state-calipers-front"', 1)[1].split('<div id="state-', 1)[0]
    assert "Choose the accent colour" in state
    assert 'value="accent=ember-orange"' in state
    assert "a colour is missing" in strip(html)
    answer = visitor.post(accent="", change="accent=ember-orange")
    assert answer.status_code == 302
    assert visitor.spec.selection["accent"] == "ember-orange"


@pytest.mark.long
def test_a_clash_is_told_at_each_of_its_options_with_the_way_out(visitor: Visitor) -> None:
    html = visitor.post(in_place=True, **CLASH).content.decode()
    for token in ("badge-front", "front-badge-remove"):
        state = html.split(f'id="state-{token}"', 1)[1].split('<div id="state-', 1)[0]
        assert "Does not go together with" in state
        assert 'name="change"' in state


@pytest.mark.long
def test_a_fact_of_the_vehicle_is_never_closed(visitor: Visitor) -> None:
    for options in (["haldor-splitter-l1"], ["haldor-splitter-l2"]):
        html = visitor.post(in_place=True, **{"f-splitter": options[0]}).content.decode()
        for fact in ("standard-bumper", "sport-bumper"):
            state = html.split(f'id="state-{fact}"', 1)[1].split('<div id="state-', 1)[0]
            assert "data-closed" not in state


@pytest.mark.long
def test_send_says_why_not_and_offers_the_way_out(visitor: Visitor) -> None:
    visitor.post(**CONTACT, **CLASH)
    answer = visitor.post(**CONTACT, **CLASH, do="send")
    html = answer.content.decode()
    assert answer.status_code == 422
    stub = html.split('id="send-problems"', 1)[1].split('value="send"', 1)[0]
    assert "autofocus" in stub
    assert "does not go together" in stub
    why = html.split('id="why"', 1)[1]
    assert 'name="change" value="' in why.split('id="send-problems"', 1)[0]
    assert re.search(r'<details class="ticket part" id="s-send" open', html)


@pytest.mark.long
def test_removing_from_the_list_takes_it_out_on_both_axles(visitor: Visitor) -> None:
    visitor.post()
    chosen = visitor.page().split('id="live-chosen"', 1)[1]
    button = re.search(r'value="(-front-wheel:[^"]+)"', chosen)
    assert button
    visitor.post(change=button[1])
    assert visitor.spec.selection["front"]["wheel"] is None
    assert visitor.spec.selection["rear"]["wheel"] is None


@pytest.mark.long
def test_an_older_tab_is_asked_and_loses_nothing(visitor: Visitor) -> None:
    visitor.post()
    older = re.search(r'name="based_on" id="based-on" value="(\w+)"', visitor.page())
    assert older
    newer = visitor.post(spacer="", based_on=older[1])
    assert newer.status_code == 302
    before = visitor.spec.selection
    answer = visitor.post(**{"f-calipers": ["calipers-rear"], "based_on": older[1]}, in_place=True)
    html = answer.content.decode()
    assert answer.status_code == 409
    assert "Something else was chosen meanwhile" in html
    assert "Spacers" in html.split('id="elsewhere"')[1].split("</ul>")[0]
    assert visitor.spec.selection == before
    # Sending from there is asked as well.
    assert visitor.post(**CONTACT, based_on=older[1], do="send").status_code == 409
    assert Job.objects.count() == 0
    kept = visitor.post(**{"f-calipers": ["calipers-rear"], "based_on": older[1]}, do="keep")
    assert kept.status_code == 302
    assert "calipers-rear" in visitor.spec.selection["options"]
    assert visitor.spec.selection["front"]["spacer"]


@pytest.mark.long
def test_the_same_choice_in_two_tabs_is_no_dispute(visitor: Visitor) -> None:
    visitor.post()
    older = re.search(r'id="based-on" value="(\w+)"', visitor.page())
    assert older
    visitor.post(spacer="")
    assert visitor.post(spacer="", based_on=older[1]).status_code == 302


@pytest.mark.long
def test_prices_stand_before_the_tick_and_go_down_too(visitor: Visitor) -> None:
    html = visitor.post(in_place=True).content.decode()
    chosen = html.split('id="state-calipers-front"', 1)[1].split("</div>", 1)[0]
    other = html.split('id="state-calipers-rear"', 1)[1].split("</div>", 1)[0]
    assert re.search(r"−€[\d.,]+ without it", chosen)
    shown = re.search(r"\+€([\d.,]+)", other)
    assert shown
    before = float(visitor.spec.evaluation["price"]["total"])
    visitor.post(in_place=True, **{"f-calipers": ["calipers-front", "calipers-rear"]})
    after = float(visitor.spec.evaluation["price"]["total"])
    assert f"{after - before:,.2f}" == shown[1]


@pytest.mark.long
def test_each_section_closes_to_what_was_chosen_in_it(visitor: Visitor) -> None:
    visitor.post()
    html = visitor.page()
    line = html.split('id="live-line-wheels"', 1)[1].split("</span>")[0]
    assert "Torvik 8×18 ET50 gloss black, front and rear" in line
    assert "open" not in html.split('id="s-wheels"', 1)[1].split(">")[0]
    opened = visitor.client.get(f"{visitor.url}?open=wheels,nonsense").content.decode()
    assert "open" in opened.split('id="s-wheels"', 1)[1].split(">")[0]


def test_without_script_an_update_comes_back_to_its_section(visitor: Visitor) -> None:
    answer = visitor.post(do="update:accent")
    assert answer["Location"] == f"{visitor.url}?open=accent#s-accent"


@pytest.mark.long
def test_the_rear_begins_like_the_front(visitor: Visitor) -> None:
    html = visitor.post(in_place=True, rear_differs="on", rear_shown="0").content.decode()
    assert 'id="list-rear_wheel"' in html
    assert visitor.spec.selection["rear"] == visitor.spec.selection["front"]
    assert Spec.objects.count() == 1


@pytest.mark.long
def test_builds_begun_here_show_picture_vehicle_and_price(visitor: Visitor) -> None:
    visitor.post()
    visitor.page()
    html = visitor.client.get("/").content.decode()
    begun = html.split('class="begun"', 1)[1].split("</ul>")[0]
    assert f'href="{visitor.url}"' in begun
    assert "<svg" in begun
    assert "Brannvik Haldor II" in begun
    assert f"€{float(visitor.spec.evaluation['price']['total']):,.2f}" in begun
    # A build of a vehicle that is gone is still listed, without a picture.
    Spec.objects.update(selection={"generation": "no-longer"})
    assert f'href="{visitor.url}"' in visitor.client.get("/").content.decode()
