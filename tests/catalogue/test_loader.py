"""Loading: all or nothing, every mistake named, twice the same as once."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from configurator.catalogue import files, loader, models, rows, versions
from configurator.catalogue.kinds import Kind
from configurator.catalogue.loader import CatalogueError
from configurator.catalogue.pruning import remove
from configurator.catalogue.sources import Finding

pytestmark = pytest.mark.django_db


def replace(path: Path, old: str, new: str) -> int:
    """Replace text once and return the line it stood on."""
    text = path.read_text()
    assert old in text, old
    path.write_text(text.replace(old, new, 1))
    return text[: text.index(old)].count("\n") + 1


def changed(folder: Path, file: str, field: str, old: str, new: str) -> tuple[str, int, str]:
    """Replace text in a file and return the place where a finding is expected."""
    return file, replace(folder / file, old, new), field


def findings(folder: Path) -> list[tuple[str, int, str]]:
    """Load, which must fail, and return where the findings are."""
    with pytest.raises(CatalogueError) as caught:
        loader.load(folder)
    return [(one.file, one.row, one.field) for one in caught.value.findings]


def messages(folder: Path) -> str:
    with pytest.raises(CatalogueError) as caught:
        loader.load(folder)
    return str(caught.value)


@pytest.mark.long
def test_everything_lands_and_a_second_load_changes_nothing(folder):
    first = loader.load(folder)
    assert first.changed
    assert first.version.number == 1
    rows = {model: model.objects.count() for model in versions.TABLES}
    second = loader.load(folder)
    assert not second.changed
    assert second.version == first.version
    assert second.gone == ()
    assert {model: model.objects.count() for model in versions.TABLES} == rows
    assert models.CatalogueVersion.objects.count() == 1


@pytest.mark.long
def test_a_changed_price_makes_a_new_version_and_keeps_the_row(demo, folder):
    key = models.Item.objects.get(code="panel-haldor-grille").pk
    text = (folder / "items.csv").read_text()
    line = next(row for row in text.splitlines() if row.startswith("panel-haldor-grille,"))
    (folder / "items.csv").write_text(text.replace(line, line.replace("259.00", "261.50")))
    loaded = loader.load(folder)
    assert loaded.changed
    assert loaded.version.number == 2
    item = models.Item.objects.get(code="panel-haldor-grille")
    assert (item.pk, str(item.unit_price)) == (key, "261.5000")


def test_every_bad_row_is_reported_with_file_row_and_field(folder):
    change = partial(changed, folder)
    expected = [
        change("tyres.csv", "designation", "235/50R18 101H XL,car", "235/50R1B 101H,car"),
        change("wheels.csv", "finish", ",split-five,silver,", ",split-five,chrome,"),
        change("axles.csv", "bolt_count", "haldor-2,front,2,bolted,5", "haldor-2,front,2,bolted,five"),
        change("items.csv", "code", "lacquer-heat,", "Lacquer heat,"),
        change("paint_layers.csv", "voc_g_per_l", "65,0.4,0.15,0.5,c,535", "65,0.4,0.15,0.5,c,541"),
        change("finishes.csv", "same_colour_as", "gloss,,kettle-copper\n", "gloss,,\n"),
    ]
    found = findings(folder)
    assert set(expected) <= set(found)
    assert models.Supplier.objects.count() == 0


def test_a_misspelt_code_is_reported_once_and_not_by_every_row_that_names_it(folder):
    line = replace(folder / "suppliers.csv", "querum,Farbkontor", "Querum!,Farbkontor")
    assert findings(folder) == [("suppliers.csv", line, "code")]


def test_an_unknown_code_is_reported_by_every_row_that_names_it(folder):
    replace(folder / "suppliers.csv", "ammerfeld,Zweirad", "ammerfels,Zweirad")
    found = findings(folder)
    assert len(found) > 5
    assert {field for _, _, field in found} == {"supplier"}


@pytest.mark.parametrize(
    ("file", "old", "new", "field", "said"),
    [
        ("axles.csv", "haldor-2,rear,", "haldor-2,front,", "position", "‘haldor-2/front’ is there already"),
        (
            "suppliers.csv",
            "nordholt,",
            "tarnick,",
            "code",
            "‘tarnick’ is there already (suppliers.csv, row 2)",
        ),
        ("items.csv", ",PF-204,", ",PK-110,", "supplier_ref", "‘PK-110’ is the number of ‘primer-"),
        ("wheels.csv", ",split-five,", ",split-six,", "design", "no drawn wheel design"),
        ("items.csv", ",each,50,0.34,", ",each,50,cheap,", "unit_cost", "‘cheap’ is not a number"),
        ("items.csv", ",each,50,0.34,", ",each,50,NaN,", "unit_cost", "not a finite number"),
        ("items.csv", ",each,50,0.34,", ",piece,50,0.34,", "unit", "‘piece’ is not one of"),
        ("generations.csv", ",2016,2023,", ",2016,2013,", "year_to", "lies before the first"),
        (
            "generations.csv",
            ",twin-rear-doors standard-bumper,",
            ",twin-rear-doors stone-film,",
            "facts",
            "is not a fact of a vehicle",
        ),
        (
            "options.csv",
            ",splitter-fit,haldor-2,",
            ",grille-fit,haldor-2,",
            "finish_choices",
            "belong together",
        ),
        ("options.csv", ",splitter-fit,haldor-2,", ",,haldor-2,", "recipe", "needs a recipe"),
        (
            "options.csv",
            ",splitter,splitter bonded,",
            ",cow_catcher,splitter bonded,",
            "picture_part",
            "know no part",
        ),
        ("options.csv", ",0.38,1.9,", ",0.38,,", "bond_length_m", "counts by metre"),
        ("families.csv", "grille,Grille,at_most,1", "grille,Grille,at_most,", "limit", "at-most family"),
        (
            "recipes.toml",
            'stage = "final check"',
            'stage = "book-in"',
            "operation.3.stage",
            "comes before ‘wash’",
        ),
        ("recipes.toml", 'stage = "final check"', 'stage = "teatime"', "operation.3.stage", "not one of"),
        (
            "recipes.toml",
            'item = "disc-p320"',
            'item = "disc-p321"',
            "item",
            "‘disc-p321’ is not among the items",
        ),
        ("rules.toml", '"tag:side-skirts"', '"tag:side-skirt"', "if_all", "No option or part has the tag"),
        ("rules.toml", 'then_any = ["sport-bumper"]', "", "then_any", "Say what is needed"),
        (
            "rules.toml",
            'then_any = ["sport-bumper"]',
            'then_any = ["sports-bumper"]',
            "then_any",
            "neither an option",
        ),
        ("workshop.toml", "DE89370400440532013000", "DE90370400440532013000", "iban", "check digits"),
        ("workshop.toml", "tax_rate_pct = 19", "tax_rate_pct = 190", "tax_rate_pct", "at most 60"),
        ("fasteners.csv", ",M14x1.5,22,", ",M14 fine,22,", "thread", "M14x1.5"),
        (
            "paint_layers.csv",
            "plastic-panel,1,prime",
            "plastic-panel,1,lacquer",
            "stage",
            "not in painting order",
        ),
    ],
)
def test_a_mistake_is_said_in_plain_words(folder, file, old, new, field, said):
    replace(folder / file, old, new)
    text = messages(folder)
    assert file in text
    assert field in text
    assert said in text


def test_files_that_cannot_be_read_are_named(folder):
    (folder / "rules.toml").write_text("[[rule]\n")
    (folder / "items.csv").write_bytes(b"code,name\n\xff\xfe")
    (folder / "makers.csv").unlink()
    (folder / "tyres.csv").write_text('code,name\n"open quote')
    text = messages(folder)
    for file in ("rules.toml", "items.csv", "makers.csv", "tyres.csv"):
        assert file in text


def test_a_column_nobody_knows_is_a_mistake_not_a_silence(folder):
    replace(folder / "makers.csv", "code,name", "code,name,nick")
    assert ("makers.csv", 1, "nick") in findings(folder)


@pytest.mark.long
def test_rows_gone_from_the_files_stay_until_pruned(demo, folder):
    for file in ("items.csv", "stock.csv"):
        text = (folder / file).read_text().splitlines(keepends=True)
        (folder / file).write_text("".join(row for row in text if not row.startswith("disc-p500,")))
    recipes = folder / "recipes.toml"
    recipes.write_text(recipes.read_text().replace('item = "disc-p500"', 'item = "disc-p320"'))
    kept = loader.load(folder)
    assert len(kept.gone) == 1
    assert "‘disc-p500’ is no longer in the files" in kept.gone[0]
    assert models.Item.objects.filter(code="disc-p500").exists()
    pruned = loader.load(folder, prune=True)
    assert pruned.gone[0].endswith("removed.")
    assert not models.Item.objects.filter(code="disc-p500").exists()
    assert loader.load(folder, prune=True).gone == ()


@pytest.mark.long
def test_a_row_that_is_still_used_survives_pruning(demo):
    assert "still used by" in remove(models.Finish.objects.get(code="silver"))
    assert models.Finish.objects.filter(code="silver").exists()


@pytest.mark.long
def test_an_item_that_becomes_another_kind_of_part_leaves_no_trace_of_the_first(demo, folder):
    item = models.Item.objects.get(code="tape-6")
    tyre = models.Tyre.objects.create(item=item, maker="x", designation="205/65R16C 107/105T")
    loader.load(folder)
    assert not models.Tyre.objects.filter(pk=tyre.pk).exists()
    assert models.Item.objects.filter(code="tape-6").exists()


def test_the_command_reports_and_fails(folder, capsys):
    replace(folder / "makers.csv", "oustrel,", "Oustrel,")
    with pytest.raises(CommandError, match="1 mistake"):
        call_command("load_catalogue", str(folder))
    assert "makers.csv, row 3, code:" in capsys.readouterr().err


@pytest.mark.long
def test_another_app_can_add_a_file(folder, request):
    class StockRow(rows.Row):
        item: rows.Code
        quantity: rows.Quantity
        refs = {"item": "items"}
        key_fields = ("item",)

    written = {}

    def write(writer, lines):
        written.update({writer.ids("items")[line.item]: line.quantity for line in lines})

    former = next(kind for kind in files.kinds() if kind.name == "stock")
    request.addfinalizer(lambda: files.register(former))
    files.register(Kind("stock", "test-stock.csv", StockRow, write, required=False))
    assert "stock" in loader.load(folder).counts
    assert written == {}
    (folder / "test-stock.csv").write_text("item,quantity\ntape-6,12.5\n")
    loader.load(folder)
    assert written == {models.Item.objects.get(code="tape-6").pk: pytest.approx(12.5)}
    (folder / "test-stock.csv").write_text("item,quantity\ntape-7,12.5\n")
    assert findings(folder) == [("test-stock.csv", 2, "item")]


def test_findings_read_as_a_sentence():
    assert str(Finding("a.csv", 3, "code", "No.")) == "a.csv, row 3, code: No."
    assert str(Finding("a.csv", 0, "", "No.")) == "a.csv: No."
