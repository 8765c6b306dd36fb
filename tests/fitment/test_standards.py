"""Against published tables; each file in data/ names its source in the header."""

import math
from pathlib import Path

import pytest

from configurator.fitment import parse_tyre, threads, tyre_size
from configurator.fitment.formulas_rating import _at_known, r39_speeds_kmh
from configurator.fitment.formulas_space import COVER_FRONT_DEG, COVER_REAR_DEG
from configurator.fitment.numbers import tyre_numbers, wheel_numbers
from configurator.fitment.quantities import Quantities
from configurator.fitment.tables import load_kg, speed_kmh, speed_load_factors
from tests.tables import read_table

from .parts import read

DATA = Path(__file__).parent / "data"


@pytest.mark.parametrize("row", read_table(DATA / "tyre_load_index.csv"), ids=lambda r: r["load_index"])
def test_load_index_is_that_of_un_r30_annex_4(row):
    assert load_kg()[int(row["load_index"])] == float(row["load_kg"])


def test_load_index_table_is_whole_and_rises():
    assert list(load_kg()) == list(range(280))
    loads = list(load_kg().values())
    assert loads == sorted(loads)
    # 80 steps are one decade (ISO 4000-1); below 120 the table cuts fractions off.
    assert all(0 <= load_kg()[i + 80] / 10 - load_kg()[i] < 1 for i in range(200))


def test_speed_symbols_are_those_of_un_r30_and_rise_in_its_order():
    for row in read_table(DATA / "tyre_speed_symbol.csv"):
        assert speed_kmh()[row["symbol"]] == float(row["max_speed_kmh"])
    symbols = list(speed_kmh())
    assert symbols.index("U") < symbols.index("H") < symbols.index("V")
    assert list(speed_kmh().values()) == sorted(speed_kmh().values())


@pytest.mark.parametrize("row", read_table(DATA / "tyre_dimensions.csv"), ids=lambda r: r["size"])
def test_tyre_dimensions_follow_un_r30_6_1(row):
    tyre = parse_tyre(row["size"])
    assert tyre_size.section_height_mm(tyre) == int(row["section_height_mm"])
    assert tyre_size.overall_diameter_mm(tyre) == float(row["design_overall_diameter_mm"])
    assert tyre_size.measuring_rim_in(tyre) == float(row["measuring_rim_in"])
    width = tyre_size.section_width_mm(tyre, tyre_size.measuring_rim_in(tyre))
    assert tyre_size.half_up(width) == int(row["design_section_width_on_measuring_rim_mm"])
    if row["permitted_rim_min_in_from_memory"]:
        wanted = (
            float(row["permitted_rim_min_in_from_memory"]),
            float(row["permitted_rim_max_in_from_memory"]),
        )
        assert tyre_size.permitted_rim_in(tyre) == wanted


def test_half_an_inch_of_rim_is_about_five_mm_of_section():
    # Rule of thumb confirmed in a trade page: 0.4 x 12.7 = 5.08 mm per half inch.
    widths = []
    for rim in (8.0, 8.5):
        given = read(wheel__width_in=rim)
        q = Quantities(None, wheel_numbers(given.wheel), tyre_numbers(given.tyre, given.axle), None, None)
        widths.append(q.section_width)
    assert widths[1] - widths[0] == pytest.approx(5.08)


@pytest.mark.parametrize("row", read_table(DATA / "bolt_threads.csv"), ids=lambda r: r["thread"])
def test_threads_follow_iso_898_1_and_iso_724(row):
    size = float(row["d_mm"]), float(row["pitch_mm"])
    assert threads.split_thread(row["thread"]) == size
    assert threads.stress_area_mm2(*size) == pytest.approx(float(row["stress_area_formula_mm2"]), abs=0.006)
    assert threads.proof_load_n(row["thread"], "8.8") == float(row["proof_load_8_8_N"])
    assert threads.proof_load_n(row["thread"], "10.9") == float(row["proof_load_10_9_N"])
    if row["rule_of_thumb_min_engaged_turns"]:  # common practice, no source
        turns = float(row["rule_of_thumb_min_engaged_turns"])
        assert threads.least_engagement_mm(row["thread"]) == turns * size[1]


def test_every_tabled_thread_agrees_with_the_formula_of_iso_898_1():
    for (d, pitch), row in threads.threads().items():
        assert threads.stress_area_mm2(d, pitch) == pytest.approx(row.stress_area_mm2, rel=0.006)
        stress = {"8.8": 580 if d <= 16 else 600, "10.9": 830}
        for name, load in row.proof_load_n.items():
            assert load == pytest.approx(row.stress_area_mm2 * stress[name], rel=0.006)


def test_a_thread_not_in_the_table_goes_by_the_formula():
    # M24x2, 10.9: 384 mm2 nominal (ISO 898-1 Table 6, from memory) x 830 MPa.
    assert threads.proof_load_n("M24x2", "10.9") == pytest.approx(384 * 830, rel=0.002)
    assert threads.proof_load_n("M14x1.5", "12.9") == pytest.approx(125 * 970)


METRE = {"m": 1000.0, "in": 25.4}
NEWTON = {"N": 1.0, "lbf": 4.4482216152605}
NEWTON_METRE = {"N m": 1.0, "lbf in": 4.4482216152605 * 0.0254}


@pytest.mark.parametrize(
    "row", [r for r in read_table(DATA / "torque_examples.csv") if r["K"]], ids=lambda r: r["id"]
)
def test_preload_agrees_with_the_handbook(row):
    torque = float(row["T"]) * NEWTON_METRE[row["T_unit"]]
    diameter_mm = float(row["d"]) * METRE[row["d_unit"]]
    found = threads.preload_n(torque, float(row["K"]), diameter_mm)
    assert found == pytest.approx(float(row["F"]) * NEWTON[row["F_unit"]], rel=1e-4)


@pytest.mark.parametrize("case", ["T3", "T5", "T6", "T7", "T8"])
def test_preloads_at_75_per_cent_use_the_standards_proof_load(case):
    rows = {r["id"]: r for r in read_table(DATA / "torque_examples.csv")}
    words = rows[case]["case"].replace(",", "").split()
    load = threads.proof_load_n(words[0], words[2])
    assert 0.75 * load == pytest.approx(float(rows[case]["F"]), rel=1e-6)


@pytest.mark.parametrize("row", read_table(DATA / "speedometer.csv"))
def test_speedometer_band_is_that_of_un_r39(row):
    true, shown = float(row["true_speed_v2_kmh"]), float(row["indicated_v1_kmh"])
    outcome = _at_known(1.0, true, (shown / true - 1) * 100)
    assert (outcome.margin >= -1e-9) == (row["allowed"] == "yes")
    if row["is_r39_test_speed"] == "yes":
        assert true in r39_speeds_kmh(180.0)


def test_wheel_cover_sector_is_that_of_regulation_1009_2010():
    rows = {r["key"]: r for r in read_table(DATA / "wheel_guard.csv")}
    assert float(rows["front_angle"]["value"]) == COVER_FRONT_DEG
    assert float(rows["rear_angle"]["value"]) == COVER_REAR_DEG


def test_load_at_speed_falls_linearly_above_210():
    # UN R30 2.31, from memory: V 100 % at 210 and 91 % at 240; W 85 % at 270; Y 85 % at 300.
    v, w = parse_tyre("225/45R18 95V"), parse_tyre("225/45R18 95W")
    assert tyre_size.speed_load_factor(v, 210) == 1
    assert math.isnan(tyre_size.speed_load_factor(v, math.nan))
    assert tyre_size.speed_load_factor(v, 215) == pytest.approx(0.985)
    assert tyre_size.speed_load_factor(v, 240) == pytest.approx(0.91)
    assert tyre_size.speed_load_factor(w, 240) == 1
    assert tyre_size.speed_load_factor(w, 270) == pytest.approx(0.85)
    assert speed_load_factors()["car", "Y"][-1] == (300, 0.85)
