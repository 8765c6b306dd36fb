"""A frozen evaluation of an earlier version is read whole, and goes out as it came in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.utils import translation

from configurator.builds.evaluation import Evaluation
from configurator.builds.records import FitNeed, PieceFacts
from configurator.pages.told import told

SAMPLE = Path(__file__).parent / "data" / "kept_evaluation.json"


@pytest.fixture
def kept() -> dict[str, Any]:
    """A demonstration build as it was stored while needs and facts were plain dicts, shortened."""
    return json.loads(SAMPLE.read_text())


def test_what_was_stored_goes_out_as_it_came_in(kept: dict[str, Any]) -> None:
    again = Evaluation.model_validate(kept).kept()
    assert again["parts"] == kept["parts"]
    assert again["fits"] == kept["fits"]
    assert again["price"] == kept["price"]
    assert json.loads(json.dumps(again["parts"])) == kept["parts"]


def test_facts_and_needs_are_read_by_name(kept: dict[str, Any]) -> None:
    read = Evaluation.model_validate(kept)
    bolt = next(part.facts for part in read.parts if part.kind == "fastener")
    assert (bolt.thread, bolt.shank_mm, bolt.seat, bolt.hex) == ("M14x1.5", 42.0, "cone60", "")
    coat = next(part.facts for part in read.parts if part.kind == "paint" and part.facts.hex)
    assert (coat.coat, coat.shank_mm) == ("colour", None)
    with translation.override("de"):
        assert told(bolt.finish) == "Glänzend schwarz"
    first, second, old = read.fits["front"].needs
    assert (first.what, first.count, second.count, old.message) == ("fastener", 10, None, "")
    assert first.kept()["shank_mm"] == 42.0


def test_what_was_not_said_is_not_written() -> None:
    assert PieceFacts().kept() == {}
    assert PieceFacts(finish="red", max_temperature_c=None).kept() == {
        "finish": "red",
        "max_temperature_c": None,
    }
    assert FitNeed(what="input", field="axle.seat").kept() == {"what": "input", "field": "axle.seat"}  # type: ignore[call-arg]
