"""An update sends what changed and nothing else, and what it leaves out stands in the page already."""

from __future__ import annotations

import random
import re
from typing import Any

import pytest
from lxml import html as markup

from .conftest import SPACER, WHEEL, Visitor

CHOICES: dict[str, list[Any]] = {
    "body_finish": ["tarnside-green", "drift-white", "own", None],
    "body_code": ["LX 3D", "", None],
    "body_tone": ["#334455", "#ddeeff"],
    "wheel": [WHEEL, ""],
    "tyre": ["haul-225-50r18c-108-106t", ""],
    "spacer": [SPACER, "", "sp-5x112-666-15"],
    "accent": ["ember-orange", "fjord-teal", "own", ""],
    "accent_way": ["nearest", "mixed", "decide", None],
    "f-front-bumper": ["standard-bumper", "sport-bumper"],
    "f-calipers": [["calipers-front"], ["calipers-front", "calipers-rear"], []],
    "f-front-badge": ["badge-front", ""],
    "f-removals": [["front-badge-remove"], []],
    "rear_differs": ["on", None],
    "f-splitter": ["haldor-splitter-l1", "haldor-splitter-l2", ""],
    "vin": ["", "1M8GDM9AXKP042789"],
}


class Tab:
    """A browser's page: an update puts its pieces in place, as htmx does."""

    def __init__(self, visitor: Visitor) -> None:
        self.visitor = visitor
        self.tree = markup.fromstring(visitor.page())

    def value(self, name: str) -> str:
        """Return what a hidden field says, or which marks the page holds."""
        if name == "seen":
            return str(self.holds("seen").get("data-marks"))
        return next((one.get("value", "") for one in self.tree.xpath(f'//input[@name="{name}"]')), "")

    def holds(self, place: str) -> Any:
        """Return an element by its id."""
        return next(iter(self.tree.xpath(f'//*[@id="{place}"]')), None)

    def update(self, **changes: Any) -> str:
        """Choose something, and swap what comes back."""
        said = {name: self.value(name) for name in ("seen", "based_on", "rear_shown")}
        said |= {f"{name}-seen": self.value(f"{name}-seen") for name in ("wheel", "tyre", "spacer")}
        answer = self.visitor.post(in_place=True, **{**said, **changes})
        assert answer.status_code == 200
        text = answer.content.decode()
        for piece in markup.fragments_fromstring(f"<i></i>{text}")[1:]:
            self._swap(piece)
        return text

    def _swap(self, piece: Any) -> None:
        place = self.holds(piece.get("id"))
        if place is None:
            return
        if piece.get("hx-swap-oob") == "innerHTML":
            place.text = piece.text
            place[:] = list(piece)
        else:
            piece.attrib.pop("hx-swap-oob")
            piece.tail = place.tail
            place.getparent().replace(place, piece)


def inside(element: Any) -> str:
    """Return what an element holds, without the white space that nobody sees."""
    text = (element.text or "") + "".join(markup.tostring(one, encoding="unicode") for one in element)
    return re.sub(r"\s+", " ", text).strip()


def stale(tab: Tab, **changes: Any) -> list[str]:
    """Return the places of a tab that a whole answer to the same choice would show differently."""
    whole = tab.visitor.post(in_place=True, **changes).content.decode()
    found = []
    for piece in markup.fragments_fromstring(f"<i></i>{whole}")[1:]:
        name = piece.get("id")
        place = tab.holds(name)
        if place is None or name in ("said", "seen") or name.startswith("list-"):
            continue
        if inside(piece) != inside(place):
            found.append((name, inside(place), inside(piece)))
    return found


@pytest.mark.parametrize(
    ("seed", "steps"), [(4, 3), *(pytest.param(seed, 10, marks=pytest.mark.long) for seed in range(4))]
)
def test_what_is_left_out_stands_there_already(visitor: Visitor, seed: int, steps: int) -> None:
    dice = random.Random(seed)
    tab = Tab(visitor)
    chosen: dict[str, Any] = {}
    for _step in range(steps):
        name = dice.choice(list(CHOICES))
        chosen[name] = dice.choice(CHOICES[name])
        tab.update(**chosen)
        assert stale(tab, **chosen) == [], chosen


@pytest.mark.long
def test_the_same_again_sends_no_piece(visitor: Visitor) -> None:
    tab = Tab(visitor)
    tab.update()
    again = tab.update()
    # What was told stands until something else is chosen.
    pieces = ("notes", "price", "picture-side", "line-")
    for gone in (*(f'id="live-{one}' for one in pieces), 'id="state-', 'id="diff-'):
        assert gone not in again
    assert len(again) < 6000


@pytest.mark.long
def test_what_is_told_stands_until_something_else_is_chosen(visitor: Visitor) -> None:
    """What was typed is stored by an update of its own, which comes after that of a press."""
    tab = Tab(visitor)
    tab.update(wheel="", tyre="", spacer="")
    assert "Tyres now:" in tab.update(tyre="", spacer="")
    assert "live-notes" not in tab.update(spacer="", notes="Please ring.", keep_contact="on")
    assert "Tyres now:" in inside(tab.holds("live-notes"))
    tab.update(spacer="", body_finish="drift-white", keep_contact="on", notes="Please ring.")
    assert "Tyres now:" not in inside(tab.holds("live-notes"))


@pytest.mark.long
def test_the_page_says_what_it_shows(visitor: Visitor) -> None:
    """The first choice of a page that was just loaded sends what differs alone."""
    tab = Tab(visitor)
    tab.update()
    fresh = Tab(visitor)
    assert 'id="live-price"' not in fresh.update()
    assert 'id="live-picture-side"' in fresh.update(body_finish="drift-white")


@pytest.mark.long
def test_another_language_or_unit_is_another_page(visitor: Visitor) -> None:
    tab = Tab(visitor)
    tab.update()
    visitor.client.cookies["units"] = "in"
    assert 'id="live-table-front"' in tab.update()


@pytest.mark.long
def test_nonsense_instead_of_marks_sends_everything(visitor: Visitor) -> None:
    whole = visitor.post(in_place=True).content.decode()
    for seen in ("", "x", "é" * 5000, "\x00" * 9):
        text = visitor.post(in_place=True, seen=seen).content.decode()
        assert text.count("hx-swap-oob") == whole.count("hx-swap-oob")
