"""The command's contract, and thousands of inputs that are not what it asks for."""

import copy
import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

from configurator import json_input
from configurator.management.commands import check_rules
from configurator.rules import Engine, read_problem

from .instances import random_problem, random_selection

ROOT = Path(__file__).parents[2]
MALFORMED = 5000
CASE = {
    "families": [
        {"id": "bumper", "kind": "one", "options": ["standard", "sport"]},
        {"id": "splitter", "kind": "at_most", "limit": 1, "options": ["L1", "L2 – lang"]},
    ],
    "rules": [{"id": "r", "if": ["L2 – lang"], "then_any": ["sport"], "reason": "Needs the sport bumper"}],
    "chosen": ["standard"],
    "want": "L2 – lang",
}
ANSWER = {
    "consistent": True,
    "forced": [],
    "open": ["standard", "L1"],
    "closed": ["sport", "L2 – lang"],
    "why": {"choices": ["standard"], "rules": ["r"]},
    "change": {"drop": ["standard"], "add": ["L2 – lang"]},
}


def run(tmp_path, capsys, content):
    """Return the exit status and the answer of the command for a file with `content`."""
    path = tmp_path / "case.json"
    path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
    try:
        call_command("check_rules", str(path))
        status = 0
    except SystemExit as stopped:
        status = stopped.code
    return status, json.loads(capsys.readouterr().out)


def test_one_case_gives_one_answer(tmp_path, capsys):
    status, answer = run(tmp_path, capsys, CASE)
    assert (status, answer) == (0, ANSWER)
    assert list(answer) == ["consistent", "forced", "open", "closed", "why", "change"]


def test_nothing_wanted_and_nothing_wrong_gives_nulls(tmp_path, capsys):
    status, answer = run(tmp_path, capsys, CASE | {"want": None})
    assert status == 0
    assert answer["why"] is None
    assert answer["change"] is None


def test_an_inconsistent_selection_is_still_understood(tmp_path, capsys):
    status, answer = run(tmp_path, capsys, CASE | {"chosen": ["sport", "standard"], "want": None})
    assert status == 0
    assert answer["consistent"] is False
    assert answer["why"] == {"choices": ["standard", "sport"], "rules": []}
    assert answer["change"] == {"drop": ["sport"], "add": []}


def test_an_array_gives_answers_in_order_and_status_2_when_one_was_not_understood(tmp_path, capsys):
    assert run(tmp_path, capsys, [CASE, CASE]) == (0, [ANSWER, ANSWER])
    assert run(tmp_path, capsys, []) == (0, [])
    status, answers = run(tmp_path, capsys, [CASE, {}, CASE])
    assert status == 2
    assert answers[0] == answers[2] == ANSWER
    assert answers[1] == {
        "errors": [{"field": f, "message": "Is missing."} for f in ("families", "rules", "chosen")]
    }


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "Is empty."),
        (b" \n", "Is empty."),
        (b"{", "Is not JSON: Expecting property name enclosed in double quotes (line 1, column 2)."),
        (b"\xff\xfe{\x00", "Is not UTF-8 text (byte 0)."),
        (b"[" * 100_000, "Is nested too deeply."),
        (b'{"a":' * 100_000, "Is nested too deeply."),
        (b'{"chosen": NaN}', "NaN is not JSON."),
        (b"9" * 5000, "A number has too many digits."),
        (b'{"want": null, "want": "a"}', "An object has the same key twice."),
        (b"3", "Must be an object, not a number."),
        (b'"text"', "Must be an object, not a text."),
        (b"null", "Must be an object, not null."),
    ],
)
def test_what_is_no_case_is_refused_in_words(tmp_path, capsys, content, message):
    assert run(tmp_path, capsys, content) == (2, {"errors": [{"field": "", "message": message}]})


@pytest.mark.parametrize("name", ["", "/no/such/file.json", "/", "a\0b", "x" * 5000])
def test_a_file_that_cannot_be_read_is_refused_in_words(capsys, name):
    with pytest.raises(SystemExit) as stopped:
        call_command("check_rules", *([name] if name else []))
    assert stopped.value.code == 2
    (error,) = json.loads(capsys.readouterr().out)["errors"]
    assert error["field"] == "file"
    assert error["message"].endswith(".")


def test_a_file_too_large_is_refused(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(json_input, "MAX_BYTES", 10)
    status, answer = run(tmp_path, capsys, CASE)
    assert status == 2
    assert "larger than" in answer["errors"][0]["message"]


@pytest.mark.long
def test_from_a_shell_by_standard_input(tmp_path):
    command = [sys.executable, "manage.py", "check_rules", "-"]
    content = b"\xef\xbb\xbf" + json.dumps([CASE]).encode()
    done = subprocess.run(command, input=content, capture_output=True, cwd=ROOT, timeout=60)
    assert (done.returncode, json.loads(done.stdout), done.stderr) == (0, [ANSWER], b"")


def test_the_command_says_what_the_engine_says():
    rng = random.Random(11)
    for _ in range(100):
        problem = random_problem(rng)
        chosen, want = random_selection(rng, problem)
        obj = json.loads(json.dumps(problem.as_dict() | {"chosen": chosen, "want": want}))
        assert read_problem(obj) == (problem, tuple(chosen), want)
        assert check_rules.answer(obj) == Engine(problem).answer(chosen, want).as_dict()


SCRAPS = [
    None, True, False, 0, -1, 1, 2**70, 10**400, 1.5, 1e308,
    "", " ", "!", "!!a", "!standard", "standard", "\ud800",
    "\0", "\u202e", "x" * 3000, [], {}, [[]], [None], {"id": None}, [{}], [["standard"]], {"": ""},
]  # fmt: skip


def places(value, path=()):
    """Yield the path of every value inside a JSON value."""
    yield path
    members = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for key, member in members:
        yield from places(member, (*path, key))


def spoil(rng, obj):
    """Return a copy with one thing replaced, removed, repeated or nested deeply."""
    obj = copy.deepcopy(obj)
    path = rng.choice(list(places(obj))[1:])
    holder = obj
    for key in path[:-1]:
        holder = holder[key]
    act = rng.randrange(4)
    if act == 0:
        del holder[path[-1]]
    elif act == 1 and isinstance(holder, list):
        holder.append(copy.deepcopy(rng.choice(holder)))
    elif act == 2:
        holder[path[-1]] = [[holder[path[-1]]]]
    else:
        holder[path[-1]] = copy.deepcopy(rng.choice(SCRAPS))
    return obj


@pytest.mark.long
def test_thousands_of_malformed_inputs_get_answers_or_errors_in_words():
    rng = random.Random(2024)
    refused = 0
    for number in range(MALFORMED):
        obj = rng.choice(SCRAPS) if number % 50 == 0 else CASE
        for _ in range(rng.randint(1, 4) if isinstance(obj, dict) and len(obj) > 1 else 0):
            obj = spoil(rng, obj)
        data = json.dumps(obj).encode()
        if number % 5 == 0:
            cut = rng.randrange(len(data) + 1)
            data = data[:cut] + bytes(rng.randrange(256) for _ in range(rng.randrange(3))) + data[cut + 1 :]
        refused += checked(data)
    assert refused > MALFORMED // 2


def checked(data: bytes) -> bool:
    """Check that the answer to `data` is whole, and return whether it was refused."""
    try:
        given, understood = json_input.respond_to(data, check_rules.answer)
    except Exception as error:
        raise AssertionError(f"{data!r} raised {error!r}") from error
    json.dumps(given, ensure_ascii=True)
    for one in given if isinstance(given, list) else [given]:
        if "errors" in one:
            assert not understood
            assert one["errors"], data
            assert all(
                set(e) == {"field", "message"} and e["message"].endswith(".") for e in one["errors"]
            ), one
        else:
            assert set(one) == set(ANSWER)
    return not understood
