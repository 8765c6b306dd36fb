"""An own catalogue from an empty folder: written from COLUMNS.md with a newcomer's slips, mended as told.

Each mend answers a finding and nothing else; a finding without a mend fails the test. So what is counted is
how many rounds the loader's own words take to a vehicle, two wheels and two spacers that a customer can send.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from configurator.builds.evaluate import evaluate
from configurator.builds.selection import AxleSelection, Selection
from configurator.catalogue import loader, snapshot
from configurator.catalogue.columns_table import table
from configurator.catalogue.loader import CatalogueError
from configurator.catalogue.sources import Finding

pytestmark = pytest.mark.django_db
ROUNDS = 2
WRITTEN = {
    "workshop.toml": """name = "Rieth Fahrzeugbau"
street = "Hofweg 3"
postcode = "50667"
town = "Köln"
email = "post@rieth.example"
tax_rate_pct = "19 %"
labour_rate_per_h = 80
iban = "DE89370400440532013000"
""",
    "suppliers.csv": "code,name,email\nWendorf,Achsteil Wendorf,innendienst@wendorf.example\n",
    "finishes.csv": "code,name,role,hex\nsilver,Silver,standard,#c0c0c0\nwhite,White,body,white\n",
    "makers.csv": "code,name\nquillon,Quillon\n",
    "generations.csv": (
        "code,maker,name,body_style,year_from,max_speed_kmh,category,body_finishes\n"
        "marrow,quillon,Marrow,estate,2017,200,M1,white\n"
    ),
    "axles.csv": (
        "generation,position,bolt_count,bolt_circle_mm,spigot_diameter_mm,thread,seat,original_wheel_width_in,"
        "original_wheel_diameter_in,original_wheel_offset_mm,original_tyre\n"
        "marrow,front,5,112,66.6,M14x1.5,cone60,6.5,16,46,205/55 R16 91V\n"
    ),
    "wheels.csv": (
        "code,name,supplier,unit_cost,unit_price,maker,finish,width_in,diameter_in,offset_mm,bolt_count,"
        "bolt_circle_mm,bore_mm\n"
        'five-16,Five 16,wendorf,120,199,Tarn,silver,"6,5",16,45,5,112,66.6\n'
        "five-17,Five 17,wendorf,140,229,Tarn,siver,7.5,17,45,5,112,66.6\n"
    ),
    "spacers.csv": (
        "code,name,supplier,unit_cost,unit_price,thickness_mm,kind,bolt_count,bolt_circle_mm,bore_mm\n"
        "sp-10,Spacer 10,wendorf,10,25,10,slip on,5,112,66.6\n"
        "sp-15,Spacer 15,wendorf,12,29,15,slip_on,5,112,66.6\n"
    ),
}  # fmt: skip
RECIPE = """[[recipe]]
code = "{0}"
name = "{0}"
covers = "{0}"
[[recipe.operation]]
stage = "{1}"
name = "{0}"
"""
Mend = Callable[[Path, Finding], None]


def swap(old: str, new: str) -> Mend:
    """Return a mend that writes one thing for another in the file that was named."""

    def mend(folder: Path, finding: Finding) -> None:
        text = (folder / finding.file).read_text()
        assert old in text, (finding, old)
        (folder / finding.file).write_text(text.replace(old, new))

    return mend


def add(more: str) -> Mend:
    """Return a mend that adds something at the end of the file that was named."""

    def mend(folder: Path, finding: Finding) -> None:
        path = folder / finding.file
        path.write_text((path.read_text() if path.exists() else "") + more)

    return mend


def put_there(folder: Path, finding: Finding) -> None:
    """Write the first line that the finding names; a file that may be empty is empty."""
    named = finding.message.partition("at the least ")[2].partition(";")[0]
    path = folder / finding.file
    path.write_text(f"{named}\n" if named else path.read_text() if path.exists() else "")


def design(folder: Path, finding: Finding) -> None:
    """Add the column with the first design that the finding names."""
    path = folder / finding.file
    head, *rows = path.read_text().splitlines()
    if not head.endswith(",design"):
        name = finding.message.partition("'")[2].partition("'")[0]
        path.write_text("\n".join([f"{head},design", *(f"{row},{name}" for row in rows)]) + "\n")


def paint_code(folder: Path, finding: Finding) -> None:
    path = folder / finding.file
    head, *rows = path.read_text().splitlines()
    told = {row: f"{row},W1" if ",body," in row else f"{row}," for row in rows}
    path.write_text("\n".join([f"{head},paint_code", *told.values()]) + "\n")


# What a newcomer does when told: by file, field and the beginning of the message.
MENDS: dict[tuple[str, str, str], Mend] = {
    ("", "", "The file is missing."): put_there,
    ("workshop.toml", "phone", "Something must stand"): add('phone = "+49 221 47"\n'),
    ("workshop.toml", "terms_version", "Something must stand"): add('terms_version = "1"\n'),
    ("workshop.toml", "tax_rate_pct", "‘19 %’ is not a number"): swap('"19 %"', "19"),
    ("suppliers.csv", "code", "‘Wendorf’ is not written"): swap("Wendorf,", "wendorf,"),
    ("finishes.csv", "hex", "Use a colour such as"): swap(",white\n", ",#f4f4f2\n"),
    ("finishes.csv", "paint_code", "A body colour needs"): paint_code,
    ("generations.csv", "body_style", "‘estate’ is not one of"): swap("estate", "car"),
    ("axles.csv", "generation", "‘marrow’ has no rear axle"): add(
        "marrow,rear,5,112,66.6,M14x1.5,cone60,6.5,16,46,205/55R16 91V\n"
    ),
    ("axles.csv", "original_tyre", ""): swap("205/55 R16", "205/55R16"),
    ("wheels.csv", "design", "One of these must stand"): design,
    ("wheels.csv", "width_in", "‘6,5’ has a comma"): swap('"6,5"', "6.5"),
    ("wheels.csv", "finish", "‘siver’ is not among"): swap("siver", "silver"),
    ("spacers.csv", "kind", "‘slip on’ is not one of"): swap("slip on", "slip_on"),
    ("recipes.toml", "covers", "No recipe covers ‘job’"): add(RECIPE.format("job", "book-in")),
    ("recipes.toml", "covers", "No recipe covers ‘wheels’"): add(RECIPE.format("wheels", "wheels on")),
    ("recipes.toml", "covers", "No recipe covers ‘spacers’"): add(RECIPE.format("spacers", "wheels on")),
}  # fmt: skip


def mended(folder: Path, findings: tuple[Finding, ...]) -> None:
    """Do what each finding says, files that are missing first."""
    for finding in sorted(findings, key=lambda one: not one.message.startswith("The file is missing")):
        keys = (("", "", "The file is missing."), *MENDS)
        found = next(
            (
                MENDS[key]
                for key in keys
                if key[0] in ("", finding.file)
                and key[1] == finding.field
                and finding.message.startswith(key[2])
            ),
            None,
        )
        assert found is not None, f"nobody could know what to do: {finding}"
        found(folder, finding)


def test_two_rounds_at_most_from_an_empty_folder_to_a_build_that_can_be_sent(tmp_path: Path) -> None:
    for name, text in WRITTEN.items():
        (tmp_path / name).write_text(text)
    rounds = []
    while True:
        try:
            loader.load(tmp_path)
        except CatalogueError as error:
            rounds.append([str(one) for one in error.findings])
            assert len(rounds) <= ROUNDS, "\n".join(rounds[-1])
            mended(tmp_path, error.findings)
        else:
            break
    assert len(rounds[0]) > 20
    catalogue = snapshot.current()
    assert len(catalogue.wheels) == 2
    axle = AxleSelection(wheel="five-16", spacer="sp-15")
    chosen = Selection(generation="marrow", body_finish="white", front=axle, rear=axle)
    found = evaluate(chosen, catalogue)
    assert found.sendable, found.problems
    assert found.price is not None


def test_the_table_tells_every_word_that_the_loader_asks_for() -> None:
    told = table()
    assert "| `design` | Drawn design | one of `blade-six`, " in told
