"""Read the tables of published values that stand beside the tests."""

import csv
from pathlib import Path


def read_table(path: Path) -> list[dict[str, str]]:
    """Return the rows of a CSV whose first lines may be comments that name the source."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
