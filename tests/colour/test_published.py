"""Colour against published tables and against an independent library."""

import csv
from pathlib import Path

import colour as reference
import numpy as np
import pytest

from configurator import colour

DATA = Path(__file__).parent / "data"


def rows(name):
    """Read a table whose first line names its source."""
    lines = (DATA / name).read_text("utf-8").splitlines()
    assert lines[0].startswith("# Source:")
    return list(csv.DictReader(lines[1:]))


@pytest.mark.parametrize("row", rows("ciede2000.csv"), ids=lambda r: r["pair"])
def test_sharma_pairs(row):
    """Sharma, Wu and Dalal 2005, Table 1: four decimals, both ways round."""
    first = [float(row[k]) for k in ("L1", "a1", "b1")]
    second = [float(row[k]) for k in ("L2", "a2", "b2")]
    expected = float(row["deltaE00"])
    assert colour.delta_e_2000(first, second) == pytest.approx(expected, abs=5.1e-5)
    assert colour.delta_e_2000(second, first) == pytest.approx(expected, abs=5.1e-5)


@pytest.mark.parametrize("row", rows("srgb_lab.csv"), ids=lambda r: r["name"])
def test_srgb_table(row):
    """IEC 61966-2-1 and ISO/CIE 11664-4."""
    assert colour.hex_to_rgb(row["hex"]) == (int(row["r"]), int(row["g"]), int(row["b"]))
    xyz = colour.rgb_to_xyz(colour.hex_to_rgb(row["hex"]))
    assert xyz == pytest.approx([float(row[k]) for k in "XYZ"], abs=6e-5)
    lab = colour.hex_to_lab(row["hex"])
    assert lab == pytest.approx([float(row[k]) for k in ("L", "a", "b_lab")], abs=0.05)


@pytest.mark.parametrize("row", rows("wcag_contrast.csv"), ids=lambda r: r["foreground"] + r["background"])
def test_wcag_table(row):
    """WCAG 2.2, with the verdicts that follow from the unrounded ratio."""
    ratio = colour.contrast_ratio(row["foreground"], row["background"])
    assert ratio == pytest.approx(float(row["contrast_ratio"]), abs=5.1e-5)
    verdicts = {
        "aa_text": colour.contrast.AA_TEXT,
        "aa_large_text": colour.contrast.AA_LARGE_TEXT,
        "aaa_text": colour.contrast.AAA_TEXT,
        "aaa_large_text": colour.contrast.AAA_LARGE_TEXT,
        "non_text_1_4_11": colour.contrast.NON_TEXT,
    }
    for column, limit in verdicts.items():
        assert ("yes" if ratio >= limit else "no") == row[column], column


def test_difference_agrees_with_the_reference_library_on_random_colours():
    """colour-science's CIE 2000 difference, 20,000 pairs as one array."""
    rng = np.random.default_rng(7)
    first, second = rng.uniform((0, -110, -110), (100, 110, 110), (2, 20_000, 3))
    ours = colour.delta_e_2000(first, second)
    assert ours == pytest.approx(reference.delta_E(first, second, method="CIE 2000"), abs=1e-8)


@pytest.mark.long
def test_conversion_agrees_with_the_reference_library_on_random_colours():
    """colour-science's sRGB to XYZ shares the matrix; its white is D65 by chromaticity, ours by matrix."""
    rgb = np.random.default_rng(8).integers(0, 256, (5000, 3))
    xyz = colour.rgb_to_xyz(rgb)
    assert xyz == pytest.approx(reference.sRGB_to_XYZ(rgb / 255), abs=2e-4)
    white = reference.XYZ_to_xy(colour.convert.WHITE_XYZ)
    assert colour.xyz_to_lab(xyz) == pytest.approx(reference.XYZ_to_Lab(xyz, white), abs=1e-6)
