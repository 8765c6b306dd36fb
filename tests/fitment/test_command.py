"""`manage.py check_fit` from outside: what it prints and how it exits."""

import io
import json
from types import SimpleNamespace

import pytest
from django.core.management import call_command

from configurator import json_input

from .parts import INPUT, data


def run(capsys, *args):
    code = 0
    try:
        call_command("check_fit", *args)
    except SystemExit as stop:
        code = stop.code
    return code, json.loads(capsys.readouterr().out)


def test_a_file_is_judged(tmp_path, capsys):
    path = tmp_path / "fit.json"
    path.write_text(json.dumps(data(wheel__bolt_count=4)))
    code, found = run(capsys, str(path))
    assert code == 0
    assert list(found) == ["verdict", "checks", "needs", "derived"]
    assert found["verdict"] == "no"
    keys = ["id", "verdict", "value", "limit", "margin", "tolerance", "unit", "axle", "message", "source"]
    keys += ["message_id", "figures", "also"]
    assert all(list(row) == keys for row in found["checks"])
    assert {row["axle"] for row in found["checks"]} == {"front"}


def test_standard_input_and_arrays(monkeypatch, capsys):
    content = json.dumps([INPUT, {}]).encode()
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(content)))
    code, found = run(capsys, "-")
    assert code == 2
    assert found[0]["verdict"] == "fits"
    assert {e["field"] for e in found[1]["errors"]} == {"axle", "wheel", "tyre"}


@pytest.mark.parametrize("name", ["missing.json", "."])
def test_what_cannot_be_read(tmp_path, capsys, name):
    code, found = run(capsys, str(tmp_path / name))
    assert code == 2
    assert found["errors"][0]["field"] == "file"


def test_a_file_too_large_is_refused(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(json_input, "MAX_BYTES", 10)
    path = tmp_path / "fit.json"
    path.write_text(json.dumps(INPUT))
    code, found = run(capsys, str(path))
    assert (code, found["errors"][0]["field"]) == (2, "file")
