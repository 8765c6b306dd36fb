"""The demonstration's catalogue without its names, as a folder to load: what a real workshop can begin with.

Kept is what the trade has in common: options, recipes, rules, paint systems, finishes, small parts,
fasteners, spacers, rings. Left out are invented vehicles, wheels, tyres and looks, panels made for them, body
colours, the shelf, and the suppliers' names, addresses and numbers. Prices of what is kept stay as a
beginning; the list of what is missing asks for a look at them.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from configurator.catalogue.judging import judge

Line = dict[str, str]
Dropped = set[str]
BLANK = ("supplier_ref", "email", "street", "postcode", "town", "customer_number", "legal_name", "endpoint")
EMPTIED = ("makers", "generations", "axles", "wheels", "tyres", "looks", "stock")


def write(demo: Path, folder: Path, workshop: Mapping[str, Any]) -> None:
    """Write the nameless copy of the demonstration's files below ``folder``; ``workshop`` takes its place."""
    shutil.copytree(demo, folder, ignore=shutil.ignore_patterns("bodies", "workshop.toml"))
    (folder / "workshop.toml").write_text(_toml(workshop), encoding="utf-8")
    names = [re.escape(word) for word in _proper_names(demo)]
    proper = re.compile(rf"\b({'|'.join(names)})", re.IGNORECASE)
    dropped: Dropped = set()
    for name in EMPTIED:
        dropped |= {line["code"] for line in _read(folder / f"{name}.csv")[1] if "code" in line}
        _rewrite(folder / f"{name}.csv", lambda line: None)
    _rewrite(folder / "finishes.csv", lambda line: _finish(line, dropped))
    suppliers = [line["code"] for line in _read(folder / "suppliers.csv")[1]]
    new = {code: f"supplier-{number}" for number, code in enumerate(suppliers, 1)}
    _rewrite(folder / "suppliers.csv", lambda line: _supplier(line, new))
    for name in ("items", "spacers", "fasteners", "centring_rings"):
        _rewrite(folder / f"{name}.csv", lambda line: _good(line, new, proper, dropped))
    _rewrite(folder / "options.csv", lambda line: _option(line, proper, dropped))
    _rules(folder, proper, dropped)
    _without_objects(folder, dropped)
    for path in folder.glob("texts.*.csv"):
        _rewrite(path, lambda line: _text(line, proper, dropped))


def _proper_names(demo: Path) -> set[str]:
    """Return the invented names: makers, the first words of generations, makers of wheels and tyres."""
    makers = {line["name"] for line in _read(demo / "makers.csv")[1]}
    vehicles = {line["name"].split()[0] for line in _read(demo / "generations.csv")[1]}
    goods = {
        line[column]
        for name in ("wheels", "tyres")
        for line in _read(demo / f"{name}.csv")[1]
        for column in ("maker",)
        if line.get(column)
    }
    return makers | vehicles | goods


def _read(path: Path) -> tuple[list[str], list[Line]]:
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        return list(reader.fieldnames or ()), [dict(line) for line in reader]


def _rewrite(path: Path, change: Callable[[Line], Line | None]) -> None:
    columns, lines = _read(path)
    kept = [new for line in lines if (new := change(line)) is not None]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns)
        writer.writeheader()
        writer.writerows(kept)


def _supplier(line: Line, new: dict[str, str]) -> Line:
    number = new[line["code"]].rpartition("-")[2]
    return {**line, **dict.fromkeys(BLANK[1:], ""), "code": new[line["code"]], "name": f"Supplier {number}"}


def _finish(line: Line, dropped: Dropped) -> Line | None:
    if line["role"] == "body":
        dropped.add(line["code"])
        return None
    return line


def _good(line: Line, new: dict[str, str], proper: re.Pattern[str], dropped: Dropped) -> Line | None:
    if proper.search(line["name"]):
        dropped.add(line["code"])
        return None
    return {**line, "supplier": new[line["supplier"]], "supplier_ref": ""}


def _option(line: Line, proper: re.Pattern[str], dropped: Dropped) -> Line | None:
    named = proper.search(" ".join((line["code"], line["name"], line["summary"])))
    if named or line["item"] in dropped:
        dropped.add(line["code"])
        return None
    return {**line, "generations": ""}


def _rules(folder: Path, proper: re.Pattern[str], dropped: Dropped) -> None:
    path = folder / "rules.toml"
    rules = tomllib.loads(path.read_text(encoding="utf-8"))["rule"]
    kept = [rule for rule in rules if not _names_dropped(rule, dropped) and not proper.search(rule["reason"])]
    dropped |= {rule["code"] for rule in rules} - {rule["code"] for rule in kept}
    text = [_toml({k: v for k, v in rule.items() if k != "generations"}, "[[rule]]") for rule in kept]
    path.write_text("\n".join(text), encoding="utf-8")


def _without_objects(folder: Path, dropped: Dropped) -> None:
    """Leave out the rules that speak of nothing any more: of tyres or panels that were left out."""
    path = folder / "rules.toml"
    blamed = {finding.row for finding in judge(folder)[1] if finding.file == path.name}
    rules = tomllib.loads(path.read_text(encoding="utf-8")).get("rule", [])
    dropped |= {rule["code"] for number, rule in enumerate(rules, 1) if number in blamed}
    text = [_toml(rule, "[[rule]]") for rule in rules if rule["code"] not in dropped]
    path.write_text("\n".join(text), encoding="utf-8")


def _names_dropped(rule: dict[str, Any], dropped: Dropped) -> bool:
    literals = [*rule.get("if_all", ()), *rule.get("then_any", ())]
    brought = [line.get("item", "") for line in rule.get("brings", ())]
    return any(str(one).removeprefix("!").rpartition(":")[2] in dropped for one in (*literals, *brought))


def _text(line: Line, proper: re.Pattern[str], dropped: Dropped) -> Line | None:
    gone = line["kind"] in ("workshop", "generations") or line["code"] in dropped
    return None if gone or proper.search(line["text"]) else line


def _toml(values: Mapping[str, Any], head: str = "") -> str:
    """Return plain values as TOML: strings, numbers and lists are JSON's, tables in lists inline."""
    lines = [f"{name} = {_value(value)}" for name, value in values.items() if value is not None]
    return "\n".join([head, *lines, ""]).lstrip("\n")


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {_value(inner)}" for name, inner in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str | bool | int) else str(value)
