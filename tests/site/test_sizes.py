"""No file and no function grows past what is read in one go."""

import ast
import gc
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILE_LINES, FUNCTION_LINES = 250, 40
# A test's story is read from top to bottom, with all that it is told of around it.
TEST_FILE_LINES, TEST_FUNCTION_LINES = 310, 70
LONGER = {
    "shop/site/settings.py": "every setting and variable of a site in one file, where whoever runs it looks",
    "tests/site/test_doors.py": "the table of every address and who may open it",
    "tests/browser/test_whole_shop.py": "one journey: two customers from spec to handover",
    "tests/browser/test_crooked_week.py": "one journey: a week in which everything goes otherwise",
    "tests/shop/jobs/walking.py": "every deed there is, so that a random walk does them all",
    "tests/benchmarks/fitment/sql.py": "all checks of fitment as one statement of SQL, without a function",
}


def parsed(text):
    """Return the tree; what is collected meanwhile makes Python 3.11 miscount its own depth."""
    gc.disable()
    try:
        return ast.parse(text)
    finally:
        gc.enable()


def lengths(text):
    """Return the name and number of lines of every function."""
    for node in ast.walk(parsed(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node.name, node.end_lineno - node.lineno + 1


def too_long(folder, file_lines, function_lines):
    """Yield the files and functions of a folder that are too long; migrations are as they were made."""
    for path in sorted((ROOT / folder).rglob("*.py")):
        name, text = path.relative_to(ROOT).as_posix(), path.read_text()
        count = text.count("\n")
        if "migrations" in path.parts or count <= function_lines:
            continue
        if count > file_lines:
            yield name, name
        yield from ((name, f"{name}: {what}") for what, lines in lengths(text) if lines > function_lines)


@pytest.mark.parametrize(
    ("folder", "file_lines", "function_lines"),
    [
        ("configurator", FILE_LINES, FUNCTION_LINES),
        ("shop", FILE_LINES, FUNCTION_LINES),
        ("tests", TEST_FILE_LINES, TEST_FUNCTION_LINES),
    ],
)
def test_what_is_too_long_has_a_name_for_each_half(folder, file_lines, function_lines):
    found = list(too_long(folder, file_lines, function_lines))
    assert [one for name, one in found if name not in LONGER] == []
    assert {name for name in LONGER if name.startswith(f"{folder}/")} <= {name for name, _one in found}


def test_a_long_function_is_seen():
    body = "\n".join("    x = 1" for _ in range(FUNCTION_LINES))
    assert dict(lengths(f"def f():\n{body}\n\nasync def g():\n    pass\n")) == {"f": 41, "g": 2}
