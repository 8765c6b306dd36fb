"""What the program keeps with a job is told to each reader in their language."""

from __future__ import annotations

import ast
from importlib import import_module
from pathlib import Path

import pytest
from django.apps import apps
from django.utils import translation

from shop.jobs import service, words
from shop.jobs.said import DEPOSIT_GONE, MORE_DEPOSIT, PARTS_SHORT, SENTENCES, hold_of, say, why_of, worded
from shop.jobs.states import MOVES
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
LATE = say("told_late", amount=["4", "each"], part="Wheel A 8 x 18", order="P-2026-0001",
           needed_day="2026-03-09", told_day="2026-03-30")  # fmt: skip


def held(**changes: object) -> Job:
    job = factories.job(state="parts_in")
    service.hold(job_id=job.pk, by="system", **changes)  # type: ignore[arg-type]
    job.refresh_from_db()
    return job


def test_one_hold_is_read_in_two_languages_and_stands_in_the_history_too() -> None:
    with translation.override("de"):  # whoever caused it
        job = held(said=say(PARTS_SHORT, lines=[LATE]))
    entry = job.history.get(action="job.held")

    english = "Parts short: 4\xa0× Wheel A 8 x 18 on P-2026-0001, needed 9 Mar, comes 30 Mar"
    assert (hold_of(job), why_of(entry)) == (english, english)
    with translation.override("de"):
        assert hold_of(job).startswith("Teile fehlen: 4\xa0× Wheel A 8 x 18 auf P-2026-0001, gebraucht am 9")
    assert (job.on_hold_reason, entry.why) == ("", "")


def test_a_persons_words_are_shown_as_typed_and_take_the_place_of_the_programs() -> None:
    job = held(said=say(DEPOSIT_GONE, lines=[say("vehicle_here")]))
    service.hold(job_id=job.pk, by=factories.staff("manager"), reason="Waits for the painter")
    job.refresh_from_db()
    assert (hold_of(job), job.hold_id) == ("Waits for the painter", "")
    assert service.release(job_id=job.pk, by="system")
    job.refresh_from_db()
    assert not job.is_held
    assert not service.release(job_id=job.pk, by="system")


@pytest.mark.parametrize(
    "kept", [{}, {"id": "nobody"}, {"id": "late", "figures": {}}, say("late", amount=[])]
)
def test_what_is_half_or_unknown_never_breaks_a_page(kept) -> None:
    assert worded(kept) in ("", "nobody", "late")


def test_every_sentence_has_german() -> None:
    figures_alone = {"part_owed", "as_it_was"}
    for name in set(SENTENCES) - figures_alone:
        with translation.override("en-gb"):
            english = str(SENTENCES[name])
        with translation.override("de"):
            assert str(SENTENCES[name]) != english


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("Parts short: 4 × Rad; 2 × Ring", "Parts short: 4 × Rad; 2 × Ring"),
        ("Deposit gone: in Frage: P-2026-0001", "Deposit gone: in question: P-2026-0001"),
        ("Deposit gone: das Fahrzeug ist hier", "Deposit gone: the vehicle is here"),
        ("More deposit: 120.00", "More deposit is asked for after a change: €120.00"),
        ("Waits for the painter", "Waits for the painter"),
    ],
)  # fmt: skip
def test_holds_of_before_are_put_apart_once(was: str, now: str) -> None:
    job = factories.job(state="parts_in", on_hold_reason=was)
    name = next(Path("shop/migrations").glob("*_why_jobs_are_held.py")).stem
    put_apart = import_module(f"shop.migrations.{name}").put_apart
    put_apart(apps, None)
    put_apart(apps, None)
    job.refresh_from_db()
    assert hold_of(job) == now
    assert job.hold_id in ("", PARTS_SHORT, DEPOSIT_GONE, MORE_DEPOSIT)


def recorded() -> set[str]:
    """Every action that the shop's code writes into a history."""
    found = {move.action for move in MOVES.values()}
    for file in Path("shop").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if (
                isinstance(node, ast.Call)
                and getattr(node.func, "attr", getattr(node.func, "id", "")) == "record"
            ):
                found |= {a.value for a in node.args if isinstance(a, ast.Constant) and "." in str(a.value)}
    return found


@pytest.mark.long
def test_everything_that_happens_has_words_for_it() -> None:
    assert recorded() - set(words.ACTION_WORDS) == set()
