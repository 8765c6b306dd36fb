"""Every row of two printed tyre tables to 1 mm, and worked designations of UN R30, R54 and R75."""

from pathlib import Path

import pytest

from configurator.fitment import check_fit, overall_diameter_mm, parse_tyre, section_width_mm, tyre_size
from configurator.fitment.tables import load_kg
from tests.tables import read_table

from .parts import judge, read

ROWS = [r for r in read_table(Path(__file__).parent / "data" / "tyre_tables_published.csv") if not r["note"]]
RANGES = [row for row in ROWS if row["rim_narrowest_in"]]


def test_the_table_is_as_long_as_it_was_collected():
    assert (len(ROWS), len(RANGES)) == (109, 34)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['size']}-{r['table']}")
def test_sizes_on_the_measuring_rim_are_the_printed_ones_to_1_mm(row):
    tyre, rim = parse_tyre(row["size"]), float(row["rim_measuring_in"])
    assert tyre_size.measuring_rim_in(tyre) == rim
    # What is printed is rounded to whole mm, so a value within 1 mm of it rounds to it or next to it.
    assert abs(tyre_size.half_up(section_width_mm(tyre, rim)) - int(row["section_width_mm"])) <= 1
    assert abs(overall_diameter_mm(tyre) - int(row["overall_diameter_mm"])) <= 1
    if row["load_kg"] and "/" not in row["load_index"]:
        assert load_kg()[int(row["load_index"])] == float(row["load_kg"])


@pytest.mark.parametrize("row", RANGES, ids=lambda r: r["size"])
def test_permitted_rims_are_the_printed_ones(row):
    found = tyre_size.permitted_rim_in(parse_tyre(row["size"]))
    assert found == (float(row["rim_narrowest_in"]), float(row["rim_widest_in"]))


def test_low_profiles_are_not_drawn_too_narrow():
    # 30 and 25 series came out 4.5 to 6 mm too narrow with 0.90 for the theoretical rim.
    assert section_width_mm(parse_tyre("305/25R20 97Y"), 11.0) == pytest.approx(313.06)
    assert section_width_mm(parse_tyre("255/30R20 92Y"), 9.0) == pytest.approx(259.74)


def test_full_profile_sizes_are_a_tables_row_or_unknown():
    # 82 per cent would give 676; the table prints 666.
    assert overall_diameter_mm(parse_tyre("195R14C 106/104R")) == 666
    assert section_width_mm(parse_tyre("195R14C"), 6.0) == pytest.approx(198 + 0.4 * 12.7)
    unlisted = {"tyre": "185R14C 102/100R", "wheel__diameter_in": 14}
    report = judge(**unlisted)
    for check in ("arch_diameter", "speedometer", "outboard_position", "inboard_clearance", "lock_sweep"):
        row = report.check(check)
        assert row.verdict == "unknown", check
        assert {"tyre.overall_diameter_mm", "tyre.section_width_mm"} & set(row.missing), check
    assert report.check("tyre_rim_width").missing == ("tyre.rim_min_in", "tyre.rim_max_in")
    # What no tyre could mend is a no all the same: the rim's own flange strikes.
    assert judge(**unlisted, axle__strut_face_mm=-100.0).check("inboard_clearance").verdict == "no"
    assert judge(**unlisted, axle__arch_lip_mm=60.0).check("outboard_position").verdict == "no"


# The forms of UN R30 annex 3, UN R54 annex 3 and UN R75 annex 3, from memory of their examples: what the
# text says is read back figure by figure with the annexes' load index and speed tables.
ANNEXES = [
    # UN R30: radial, section 185, aspect 70, rim code 14, load index 89 (580 kg), T (190 km/h), snow.
    ("185/70 R 14 89 T TUBELESS M+S", "car", 185, 70, 14, 580, None, 190),
    # UN R54: two load indices and a second service description for another speed.
    ("250/70 R 20 149/145 J 148/143 L TUBELESS", "car", 250, 70, 20, 3250, 2900, 100),
    ("205/65R16C 107/105T", "commercial", 205, 65, 16, 975, 925, 190),
    # UN R75: bias-belted and bias-ply motorcycle tyres, dashes for bias-ply.
    ("100/80 B 18 M/C 53 S TUBELESS", "motorcycle", 100, 80, 18, 206, None, 180),
    ("130/90-16 M/C 67H", "motorcycle", 130, 90, 16, 307, None, 210),
    ("120/70ZR17 M/C (58W)", "motorcycle", 120, 70, 17, 236, None, 270),
]


@pytest.mark.parametrize(("text", "kind", "width", "aspect", "code", "single", "twin", "speed"), ANNEXES)
def test_designations_of_the_annexes(text, kind, width, aspect, code, single, twin, speed):
    tyre = parse_tyre(text)
    assert (tyre.kind, tyre.width_mm, tyre.aspect_pct, tyre.rim_diameter_in) == (kind, width, aspect, code)
    assert tyre_size.load_capacity_kg(tyre) == single
    if twin:
        assert tyre_size.load_capacity_kg(tyre, twin=True) == twin
    assert tyre_size.top_speed_kmh(tyre) == speed
    assert tyre.snow == ("M+S" in text)


@pytest.mark.parametrize(
    ("text", "share", "height"),
    [
        ("235/50R18 101H XL", 0.04, 0.04),  # UN R30 6.1.4 and 6.1.5, radial
        ("155/80-13 79S", 0.06, 0.08),  # UN R30, bias-ply; from memory
        ("205/65R16C 107/105T", 0.04, 0.04),  # UN R54
        ("180/55ZR17 M/C 73W", 0.10, 0.07),  # UN R75; from memory
    ],
)
def test_lawful_growth_is_the_tolerance_of_a_tyre_that_was_not_measured(text, share, height):
    tyre = parse_tyre(text)
    rise = tyre_size.section_height_mm(tyre) * 2 * height
    assert tyre_size.tolerances(tyre) == (share, 0.0, pytest.approx(rise))


def test_what_was_measured_grows_no_more():
    given = read()
    for changes, expected in (
        ({"section_width_mm": 250.0}, (0.0, 2.0, pytest.approx(9.44))),
        ({"overall_diameter_mm": 690.0}, (0.04, 0.0, 2.0)),
        ({"section_width_mm": 250.0, "overall_diameter_mm": 690.0, "tolerance_mm": 0.5}, (0.0, 0.5, 0.5)),
    ):
        tyre = type(given.tyre)(**{**vars(given.tyre), **changes})
        assert tyre_size.tolerances(tyre) == expected
    measured = type(given.tyre)(**{**vars(given.tyre), "section_width_mm": 250.0})
    report = check_fit(given.axle, given.wheel, measured, given.spacer, given.fastener)
    assert report.check("outboard_position").tolerance == pytest.approx(2 + 1)


def test_motorcycles_go_by_un_r75_and_vans_by_r54():
    sources = {
        text: judge(tyre=text).check("tyre_load").source
        for text in ("235/50R18 101H", "205/65R16C 107/105T", "120/70ZR17 M/C 58W")
    }
    assert [source[:24] for source in sources.values()] == [
        "UN Regulation No. 30, 02", "UN Regulation No. 54, 00", "UN Regulation No. 75, 00"
    ]  # fmt: skip
