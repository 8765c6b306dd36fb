"""What is measured at the vehicle settles the verdict by the design's own rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.jobs.errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from shop.jobs.evaluations import evaluation_of
from shop.jobs.holds import measured
from shop.jobs.measuring import measure
from shop.jobs.settled import direction, margin_of, standing, to_measure
from tests.shop import factories
from tests.shop.tracking.conftest import amended

# Brake to wheel: at least 3 mm everywhere (common practice, no source).
UNSURE = factories.fit_row(verdict="measure", value=3.5, limit=3.0, margin=0.5, tolerance=2.0)
AT_MOST = factories.fit_row(id="track_change", verdict="measure", value=1.9, limit=2.0, margin=0.1, unit="%")
UNKNOWN = factories.fit_row(id="arch_diameter", verdict="unknown", value=None, limit=None, margin=None)


@pytest.mark.parametrize(
    ("value", "uncertainty", "verdict", "margin"),
    [(5.0, 0.5, "fits", 2.0), (3.5, 0.5, "fits", 0.5), (3.2, 0.5, "measure", 0.2), (2.9, 0.5, "no", -0.1)],
)
@pytest.mark.django_db
def test_a_measured_value_gives_the_verdict(value, uncertainty, verdict, margin) -> None:
    job = factories.job(factories.evaluation(UNSURE), state="in_review")
    technician = factories.staff("technician", name="timo")

    done = measure(
        job_id=job.pk,
        axle="front",
        check_id="brake_clearance",
        value=value,
        uncertainty=uncertainty,
        by=technician,
    )

    assert (done.verdict, round(done.margin, 6), done.by) == (verdict, margin, technician)
    entry = job.history.last()
    assert (entry.action, entry.who, entry.data["verdict"]) == ("job.measured", "timo", verdict)
    assert (measured(job) == "") == (verdict == "fits")


def test_the_sense_of_the_limit_is_read_from_the_row() -> None:
    assert [direction(row) for row in (UNSURE, AT_MOST, UNKNOWN)] == [1, -1, 0]
    assert margin_of(AT_MOST, 1.5) == 0.5
    assert margin_of(UNKNOWN, 7.0) == 7.0


@given(
    value=st.floats(-100, 100),
    limit=st.floats(-100, 100),
    sense=st.sampled_from([1, -1]),
    measured_value=st.floats(-100, 100),
)
def test_measuring_what_was_reckoned_gives_the_same_margin(value, limit, sense, measured_value) -> None:
    row = factories.fit_row(value=value, limit=limit, margin=sense * (value - limit))
    if abs(value - limit) > 0.02:
        assert direction(row) == sense
        assert margin_of(row, value) == pytest.approx(row.margin)
        assert margin_of(row, measured_value) == pytest.approx(sense * (measured_value - limit))


@pytest.mark.django_db
def test_the_same_again_is_stored_once_and_a_better_one_replaces_it_in_the_list() -> None:
    job = factories.job(factories.evaluation(UNSURE), state="in_review")
    reviewer = factories.staff("reviewer")
    once = {
        "job_id": job.pk,
        "axle": "front",
        "check_id": "brake_clearance",
        "uncertainty": 0.5,
        "by": reviewer,
    }
    assert measure(**once, value=3.2) == measure(**once, value=3.2)
    measure(**once, value=4.0)
    assert job.measurements.count() == 2
    assert [each.verdict for each in to_measure(job)] == ["fits"]


@pytest.mark.django_db
def test_what_cannot_be_measured_is_refused() -> None:
    job = factories.job(factories.evaluation(UNSURE), state="in_review")
    common = {
        "job_id": job.pk,
        "axle": "front",
        "check_id": "brake_clearance",
        "uncertainty": 0.5,
        "value": 4.0,
    }
    with pytest.raises(NotAllowedError):
        measure(**common, by=factories.staff("buyer"))
    manager = factories.staff("manager")
    for change, field in (({"value": float("nan")}, "value"), ({"uncertainty": -1.0}, "uncertainty")):
        with pytest.raises(UnmetError) as caught:
            measure(**(common | change), by=manager)
        assert caught.value.field == field
    with pytest.raises(StaleError):
        measure(**(common | {"check_id": "seat"}), by=manager)
    with pytest.raises(WrongStateError):
        measure(**(common | {"job_id": factories.job(factories.evaluation(UNSURE)).pk}), by=manager)


@pytest.mark.django_db
def test_what_was_measured_for_another_build_does_not_settle_this_one() -> None:
    """Another wheel leaves other room; only where the very same is asked does the measured value stay."""
    job = factories.job(factories.evaluation(UNSURE), state="in_review")
    key = {"axle": "front", "check_id": "brake_clearance"}
    measure(job_id=job.pk, **key, value=5.0, uncertainty=0.5, by=factories.staff("reviewer"))
    amended(job, factories.evaluation(UNSURE))
    assert [each.verdict for each in to_measure(job)] == ["fits"]
    amended(job, factories.evaluation(UNSURE.model_copy(update={"value": 3.1, "margin": 0.1})))
    assert [each.verdict for each in to_measure(job)] == ["measure"]
    assert measured(job) != ""


@pytest.mark.parametrize(("room", "verdict"), [(9.0, "measure"), (2.0, "no")])
@pytest.mark.django_db
def test_where_the_fit_stands_follows_what_was_measured(room, verdict) -> None:
    rows = (UNSURE, factories.fit_row(id="hub_bore", verdict="fits"), AT_MOST)
    job = factories.job(factories.evaluation(*rows), state="in_review")
    build, technician = evaluation_of(job.revision), factories.staff("technician")
    assert standing(job, build).verdict == "measure"
    measured_there = {"job_id": job.pk, "axle": "front", "by": technician, "uncertainty": 0.05}
    measure(check_id="brake_clearance", value=room, **measured_there)
    assert standing(job, build).verdict == verdict
    measure(check_id="track_change", value=1.0, **measured_there)
    now = standing(job, build)
    assert (now.verdict, now.axles["front"]) == ((verdict, verdict) if verdict == "no" else ("fits", "fits"))


@pytest.mark.django_db
def test_what_nobody_has_to_measure_stands_as_it_was_calculated() -> None:
    """A row that fits or says no by calculation is not asked at the vehicle, and counts all the same."""
    for verdict in ("no", "unknown"):
        rows = (UNSURE, factories.fit_row(id="seat", verdict=verdict, margin=-1.0))
        job = factories.job(factories.evaluation(*rows), state="in_review")
        technician = factories.staff("technician", name=verdict)
        measure(
            job_id=job.pk, axle="front", check_id="brake_clearance", value=9.0, uncertainty=0.1, by=technician
        )
        now = standing(job, evaluation_of(job.revision))
        assert (now.verdict, now.axles) == (verdict, {"front": verdict})
    plain = factories.job(factories.evaluation(fits={}, verdict="fits"))
    assert (standing(plain, evaluation_of(plain.revision)).verdict, to_measure(plain)) == ("fits", [])


@pytest.mark.django_db
def test_a_row_names_itself_in_a_form_and_asks_for_room_where_it_has_no_figure() -> None:
    no_figure = UNKNOWN.model_copy(update={"verdict": "measure"})
    job = factories.job(factories.evaluation(UNSURE, no_figure), state="in_review")
    assert {each.key: (each.verdict, each.asks_for_margin) for each in to_measure(job)} == {
        "front-brake_clearance": ("measure", False),
        "front-arch_diameter": ("measure", True),
    }
