"""The catalogue written as files and read back: nothing differs."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from configurator.catalogue import exporting, loader, models, versions
from configurator.catalogue.snapshot import Catalogue


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.long
def test_the_demonstration_goes_out_and_comes_back_without_a_difference(
    demo: Catalogue, tmp_path: Path
) -> None:
    call_command("export_catalogue", str(tmp_path / "one"))
    before = versions.digest()
    again = loader.load(tmp_path / "one", prune=True)
    assert not again.changed
    assert again.gone == ()
    models.Rule.objects.all().delete()
    models.Option.objects.all().delete()
    models.Wheel.objects.all().delete()
    loader.load(tmp_path / "one")
    assert versions.digest() == before
    call_command("export_catalogue", str(tmp_path / "two"))
    one, two = contents(tmp_path / "one"), contents(tmp_path / "two")
    assert one == two
    assert len(one) > 20


def test_drawings_texts_and_shelves_go_out_too(demo: Catalogue, tmp_path: Path) -> None:
    names = exporting.write_folder(tmp_path / "one")
    assert {"bodies/haldor-2.json", "texts.de.csv", "stock.csv", "recipes.toml"} <= set(names)
    assert b"primer-plastic,1.5,Mixing room 1" in (tmp_path / "one" / "stock.csv").read_bytes()


def test_a_folder_that_holds_something_is_left_alone(demo: Catalogue, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(CommandError, match="something"):
        call_command("export_catalogue", str(tmp_path))
    assert contents(tmp_path) == {"notes.txt": b"mine"}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (None, ""),
        (True, "yes"),
        (12.0, "12"),
        (0.35, "0.35"),
        ([[178.0, -35.5]], "178:-35.5"),
        (["a", "b"], "a b"),
    ],
)
def test_a_cell_says_what_a_file_would(value: object, said: str) -> None:
    assert exporting.cell(value) == said


@pytest.mark.long
def test_a_tax_rate_that_changes_on_a_day_goes_out_and_comes_back(demo: Catalogue, tmp_path: Path) -> None:
    models.Workshop.objects.update(
        tax_rate_pct=20, tax_rate_from="2027-01-01", tax_rate_before_pct=19, no_tax_why="none"
    )
    exporting.write_folder(tmp_path / "one")
    models.Workshop.objects.update(tax_rate_from=None, tax_rate_before_pct=None, no_tax_why="")
    loader.load(tmp_path / "one")
    workshop = models.Workshop.objects.get()
    assert (workshop.tax_rate_on(date(2026, 12, 31)), workshop.tax_rate_on(date(2027, 1, 1))) == (19, 20)
    assert workshop.no_tax_why == "none"
