"""What each row says of the invented van, word for word, with figures worked out in the other tests.

The fits are in `data/sentences.jsonl`: a check, changes to the van as `parts.data` takes them, the verdict
and the English. A sentence that changes is read again and put there by hand.
"""

import json
from pathlib import Path

import pytest

from configurator.fitment.checks import CHECK_IDS
from configurator.fitment.messages import TEMPLATES

from .parts import judge

ROWS = [
    json.loads(line)
    for line in (Path(__file__).parent / "data" / "sentences.jsonl").read_text("utf-8").splitlines()
]


def judged(row):
    changes = {name: ... if value == "..." else value for name, value in row["changes"].items()}
    return judge(**changes).check(row["check"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['check']} {row['verdict']} {row['changes']}")
def test_the_row_says(row):
    found = judged(row)
    assert (found.verdict, found.message) == (row["verdict"], row["says"])


def test_every_sentence_of_a_check_is_said():
    said = {one.id for row in ROWS for one in judged(row).messages}
    heads = (*CHECK_IDS, "row")
    rows = {name for name in TEMPLATES if name.partition(".")[0] in heads}
    # What no profile tells is said of a brake further out than it (test_checks).
    assert rows - said == {"brake_clearance.beyond"}
