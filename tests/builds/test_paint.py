"""Litres against coating handbooks."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds import paint
from tests.tables import read_table

DATA = Path(__file__).parent / "data"
COVERAGE = read_table(DATA / "paint_coverage.csv")


@pytest.mark.parametrize("row", COVERAGE, ids=lambda row: f"{row['volume_solids_pct']}-{row['dry_film_um']}")
def test_spreading_rate(row):
    """ISO 23811 and coating handbooks, see the table."""
    solids, film = float(row["volume_solids_pct"]), float(row["dry_film_um"])
    rate = float(row["theoretical_spreading_m2_per_l"])
    assert paint.spreading_rate_m2_per_l(solids, film) == pytest.approx(rate, abs=0.005)


@given(st.floats(0.01, 20), st.floats(5, 200), st.floats(10, 100), st.floats(20, 100))
def test_mixed_covers_what_is_used_within_one_step(area, film, solids, efficiency):
    exact = paint.litres(area, dry_film_um=film, volume_solids_pct=solids, transfer_efficiency_pct=efficiency)
    mixed = paint.mixed_litres(exact)
    assert Decimal(repr(exact)) <= mixed
    assert mixed - Decimal(repr(exact)) < paint.MIXING_STEP_L or mixed == paint.MIXING_STEP_L
