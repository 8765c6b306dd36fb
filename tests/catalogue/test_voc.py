"""Limits on solvents against Directive 2004/42/EC."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from configurator.catalogue import checks, loader, voc
from configurator.catalogue.known import Known
from configurator.catalogue.models import PaintLayer
from tests.tables import read_table

LIMITS = read_table(Path(__file__).parent / "data" / "voc_limits.csv")


OWN = {"preparatory": "preparatory", "pre-cleaner": "pre-cleaner", "wash primer": "wash-primer"}


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: row["coating"])
def test_each_product_is_held_to_its_own_limit(row):
    """Directive 2004/42/EC Annex II B: at the limit is lawful, above it is not."""
    letter, limit, product = row["subcategory"], float(row["limit_g_per_l"]), OWN.get(row["coating"], "")
    assert voc.voc_limit(letter, product) == limit
    assert voc.over_voc_limit(letter, limit, product) is None
    assert voc.over_voc_limit(letter, limit + 1, product) == pytest.approx(1)


@pytest.mark.parametrize("letter", ["a", "c"])
def test_who_does_not_say_the_product_gets_the_narrower_limit(letter):
    """Annex II B has two products in each of these letters."""
    limits = [float(row["limit_g_per_l"]) for row in LIMITS if row["subcategory"] == letter]
    assert len(limits) == 2
    assert voc.voc_limit(letter) == min(limits)


@pytest.mark.parametrize(
    ("letter", "grams", "product", "field"),
    [
        ("c", 780, "wash-primer", None),
        ("c", 781, "wash-primer", "voc_g_per_l"),
        ("c", 780, "", "voc_g_per_l"),
        ("a", 850, "preparatory", None),
        ("a", 201, "pre-cleaner", "voc_g_per_l"),
        ("a", 850, "", "voc_g_per_l"),
        ("d", 420, "wash-primer", "voc_product"),
    ],
)
def test_the_catalogue_takes_them_and_names_what_is_wrong(letter, grams, product, field):
    """The limits are those of Annex II B: 780 g/l for a wash primer, 850 for a preparatory product."""
    row = SimpleNamespace(voc_subcategory=letter, voc_g_per_l=grams, voc_product=product)
    blamed = [where for where, _ in checks.layer(row, Known({}))]
    assert blamed == ([field] if field else [])


@pytest.mark.long
@pytest.mark.django_db
def test_a_wash_primer_loads_from_the_files_and_is_kept_as_one(folder):
    """780 g/l, the limit of Annex II B for it, and more than any other primer may have."""
    layers = folder / "paint_layers.csv"
    before = layers.read_text()
    assert before.count("0.15,0.5,c,535,\n") == 1
    layers.write_text(before.replace("0.15,0.5,c,535,\n", "0.15,0.5,c,780,wash-primer\n"))
    loader.load(folder)
    assert PaintLayer.objects.get(voc_product="wash-primer").voc_g_per_l == 780


def test_unknown_subcategory_is_not_lawful_by_silence():
    assert voc.over_voc_limit("x", 1.0) == 1.0
    assert voc.over_voc_limit("d", 1.0, "wash-primer") == 1.0
