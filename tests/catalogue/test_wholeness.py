"""What customers and buyers would trip over is said by the loader, all of it in one round."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings

from configurator.catalogue import loader
from configurator.catalogue.columns_table import table
from configurator.catalogue.loader import CatalogueError

from .test_loader import replace

pytestmark = pytest.mark.django_db


def told(folder: Path) -> list[tuple[str, str, str]]:
    """Load, which must fail; return file, field and message of every finding."""
    with pytest.raises(CatalogueError) as caught:
        loader.load(folder)
    return [(one.file, one.field, one.message) for one in caught.value.findings]


def without(path: Path, keep: object) -> None:
    """Leave only those lines of a CSV that ``keep`` wants, and its heading."""
    head, *rows = path.read_text().splitlines(keepends=True)
    path.write_text("".join([head, *(row for row in rows if keep(row))]))  # type: ignore[operator]


def test_goods_without_the_recipe_that_fits_them(folder: Path) -> None:
    replace(folder / "recipes.toml", 'covers = "spacers"', 'covers = "option"')
    replace(folder / "recipes.toml", 'covers = "job"', 'covers = "option"')
    found = told(folder)
    assert {file for file, _field, _message in found} == {"recipes.toml"}
    assert ["‘job’" in m or "‘spacers’" in m for _file, _field, m in found] == [True, True]


@pytest.mark.long
def test_a_vehicle_of_which_nothing_can_be_sent(folder: Path) -> None:
    without(folder / "wheels.csv", lambda row: ",motorcycle," not in row)
    without(folder / "tyres.csv", lambda row: ",motorcycle" not in row)
    without(folder / "options.csv", lambda row: ",fact," in row)
    (folder / "rules.toml").write_text("")
    (folder / "looks.csv").unlink()
    (folder / "texts.de.csv").unlink()
    (finding,) = told(folder)
    assert finding[:2] == ("generations.csv", "whinchat-680")
    assert "Nothing can be chosen" in finding[2]


def test_every_slip_of_independent_rows_is_told_in_one_round(folder: Path) -> None:
    replace(folder / "finishes.csv", "#0b0b0d", "black")  # a broken finish
    replace(folder / "wheels.csv", "split-five", "split-nine")  # an unknown design
    replace(folder / "recipes.toml", 'stage = "wash"', 'stage = "washing"')  # a broken recipe
    replace(folder / "options.csv", "haldor-2,,,,,,,1", "haldor-9,,,,,,,1")  # an unknown vehicle
    replace(folder / "rules.toml", '"front-radar"', '"front-rader"')  # an unknown word
    files = {file for file, _field, _message in told(folder)}
    assert files >= {"finishes.csv", "wheels.csv", "recipes.toml", "options.csv", "rules.toml"}


def test_what_depends_on_a_broken_row_is_not_told_as_well(folder: Path) -> None:
    replace(folder / "recipes.toml", 'code = "arch-trims-fit"\nname', 'code = "arch-trims-fit"\nnam')
    assert {(file, field) for file, field, _message in told(folder)} == {
        ("recipes.toml", "nam"),
        ("recipes.toml", "name"),
    }


def test_the_table_of_columns_is_what_the_declarations_say() -> None:
    kept = settings.BASE_DIR / "fixtures" / "catalogue" / "COLUMNS.md"
    assert kept.read_text() == table(), "write it anew with manage.py catalogue_columns"
