"""The catalogue's texts in other languages: files beside the rows, found by code or by source."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from django.conf import settings

from configurator.catalogue import loader, snapshot, texts
from configurator.catalogue.lint_words import untranslated
from configurator.catalogue.snapshot import Catalogue
from configurator.words import Said

DEMO = settings.BASE_DIR / "fixtures" / "catalogue"
HEAD = "kind,code,field,source,text\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "catalogue"))


def _write(folder: Path, language: str, *lines: str) -> None:
    (folder / f"texts.{language}.csv").write_text(HEAD + "".join(f"{line}\n" for line in lines))


@pytest.mark.long
@pytest.mark.django_db
def test_a_third_language_needs_only_its_file(folder: Path) -> None:
    _write(
        folder, "fr", "options,tow-bar-fitted,name,,Attelage", "recipes,,operation.name,Wash and dry,Laver"
    )
    loader.load(folder)
    catalogue = snapshot.read(1, "")
    name = catalogue.options["tow-bar-fitted"].name
    assert isinstance(name, Said)
    assert name == "Tow bar"
    assert name.texts["fr"] == "Attelage"
    wash = [o for o in catalogue.recipes["job"].operations.all() if o.name == "Wash and dry"]
    assert wash[0].name.texts["fr"] == "Laver"  # type: ignore[attr-defined]
    missing = texts.missing(catalogue, "fr")
    assert texts.Text("options", "tailgate", "name", "Tailgate") in missing
    assert all(text.code != "tow-bar-fitted" for text in missing)


@pytest.mark.long
@pytest.mark.django_db
def test_a_text_that_changed_since_falls_back_and_is_listed(folder: Path) -> None:
    path = folder / "options.csv"
    path.write_text(path.read_text().replace(",Tow bar,", ",Tow bar with ball,"))
    loader.load(folder)
    catalogue = snapshot.read(1, "")
    assert not isinstance(catalogue.options["tow-bar-fitted"].name, Said)
    listed = [row for row in untranslated(catalogue) if row.subject == "options/tow-bar-fitted/name"]
    assert ["translated from another text" in row.message for row in listed] == [True]
    assert not listed[0].blocking


@pytest.mark.long
@pytest.mark.django_db
def test_a_catalogue_without_a_file_for_a_language_says_so_once(folder: Path) -> None:
    (folder / "texts.de.csv").unlink()
    loader.load(folder)
    listed = list(untranslated(snapshot.read(1, "")))
    assert [row.subject for row in listed] == ["de"]
    assert "texts.de.csv" in listed[0].message


@pytest.mark.long
@pytest.mark.django_db
def test_loading_again_takes_back_what_the_file_no_longer_says(folder: Path, demo: Catalogue) -> None:
    assert not loader.load(folder).changed
    _write(folder, "de", "options,tailgate,name,,Klappe")
    again = loader.load(folder)
    assert again.version.number == demo.version + 1
    catalogue = snapshot.read(1, "")
    assert catalogue.options["tailgate"].name.texts == {"de": "Klappe"}  # type: ignore[attr-defined]
    assert not isinstance(catalogue.options["drop-gate"].name, Said)


@pytest.mark.parametrize(
    ("line", "field", "said"),
    [
        ("wheels,x,name,,y", "kind", "is not one of"),
        ("options,tailgate,colour,,y", "field", "Only these of options"),
        ("options,,name,,y", "source", "translated from"),
        ("recipes,job,operation.name,,y", "source", "translated from"),
        ("options,tailgate,name,Tailgate,", "text", "Something must stand here"),
    ],
)
@pytest.mark.django_db
def test_mistakes_are_named_with_file_row_and_field(folder: Path, line: str, field: str, said: str) -> None:
    _write(folder, "fr", line)
    with pytest.raises(loader.CatalogueError) as caught:
        loader.load(folder)
    found = caught.value.findings[0]
    assert (found.file, found.row, found.field) == ("texts.fr.csv", 2, field)
    assert said in found.message


@pytest.mark.django_db
def test_the_same_text_twice_and_a_strange_file_name_are_findings(folder: Path) -> None:
    _write(folder, "fr", "options,tailgate,name,,Hayon", "options,tailgate,name,,Porte")
    _write(folder, "French", "options,tailgate,name,,Hayon")
    with pytest.raises(loader.CatalogueError) as caught:
        loader.load(folder)
    assert sorted(str(finding) for finding in caught.value.findings) == [
        "texts.French.csv: Name it for its language, such as texts.de.csv.",
        "texts.fr.csv, row 3, field: This text is there already (row 2).",
    ]


@pytest.mark.long
@pytest.mark.django_db
def test_a_row_that_translates_nothing_is_listed(folder: Path) -> None:
    with (folder / "texts.de.csv").open("a") as file:
        file.write("options,flying-carpet,name,,Teppich\nrecipes,,operation.name,Take off and fly,Abheben\n")
    loader.load(folder)
    found = {row.subject for row in untranslated(snapshot.read(1, "")) if row.kind == "idle_text"}
    assert found == {"options/flying-carpet/name", "recipes/operation.name"}
