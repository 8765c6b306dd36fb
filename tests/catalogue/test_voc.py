"""Limits on solvents against Directive 2004/42/EC."""

from pathlib import Path

import pytest

from configurator.catalogue import voc
from tests.tables import read_table

LIMITS = read_table(Path(__file__).parent / "data" / "voc_limits.csv")


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: row["coating"])
def test_voc_limit(row):
    """Directive 2004/42/EC Annex II B: at the limit is lawful, above it is not."""
    letter, limit = row["subcategory"], float(row["limit_g_per_l"])
    kept = voc.VOC_LIMITS_G_PER_L[letter]
    if row["coating"] in ("preparatory", "wash primer"):
        assert kept < limit  # judged by the subcategory's narrower product
    else:
        assert voc.over_voc_limit(letter, limit) is None
        assert voc.over_voc_limit(letter, limit + 1) == pytest.approx(1)


def test_unknown_subcategory_is_not_lawful_by_silence():
    assert voc.over_voc_limit("x", 1.0) == 1.0
