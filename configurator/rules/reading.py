"""Reads a problem from plain JSON values and gathers everything that is wrong with it.

Repeated ids of families, options and rules are errors. A repeated literal in a rule, or a repeated
id in ``chosen``, says the same thing twice and is accepted. Unknown keys are ignored, so a file may
carry notes of its own.
"""

from typing import Any

from .model import KINDS, Family, InputErrors, Problem, Rule

TYPE_NAMES = {
    dict: "an object", list: "a list", str: "a text", bool: "true or false", int: "a number",
    float: "a number", type(None): "null",
}  # fmt: skip


def _shown(text: str) -> str:
    """Return a text safe to print in a message: ASCII, quoted, not long."""
    return ascii(text if len(text) <= 60 else text[:57] + "...")


class _Reader:
    def __init__(self) -> None:
        self.errors: list[dict[str, str]] = []

    def bad(self, field: str, message: str) -> None:
        self.errors.append({"field": field, "message": message})

    def wrong_type(self, field: str, value: Any, wanted: str) -> None:
        self.bad(field, f"Must be {wanted}, not {TYPE_NAMES.get(type(value), 'this')}.")

    def has(self, obj: dict[str, Any], key: str, field: str) -> bool:
        if key not in obj:
            self.bad(f"{field}.{key}" if field else key, "Is missing.")
        return key in obj

    def items(self, obj: dict[str, Any], key: str, field: str = "") -> list[tuple[str, Any]]:
        """Return the members of the list at `key` with their fields; none when there is no list."""
        if not self.has(obj, key, field):
            return []
        at = f"{field}.{key}" if field else key
        if not isinstance(obj[key], list):
            self.wrong_type(at, obj[key], "a list")
            return []
        return [(f"{at}[{i}]", item) for i, item in enumerate(obj[key])]

    def text(self, value: Any, field: str) -> str | None:
        if not isinstance(value, str):
            self.wrong_type(field, value, "a text")
        elif any("\ud800" <= char <= "\udfff" for char in value):
            self.bad(field, f"{_shown(value)} is not valid text (half of a surrogate pair).")
        else:
            return value
        return None

    def id(self, value: Any, field: str) -> str | None:
        text = self.text(value, field)
        if text is None:
            return None
        if not text.strip():
            self.bad(field, "An id cannot be empty.")
        elif text.startswith("!"):
            self.bad(field, f"The id {_shown(text)} cannot begin with '!', which means 'not'.")
        else:
            return text
        return None

    def new_id(self, value: Any, field: str, seen: dict[str, str]) -> str | None:
        """Return an id not in `seen` yet (id -> field), and put it there."""
        text = self.id(value, field)
        if text is None:
            return None
        if text in seen:
            self.bad(field, f"{_shown(text)} is already used at {seen[text]}.")
            return None
        seen[text] = field
        return text

    def known(self, value: Any, field: str, options: dict[str, str]) -> str | None:
        text = self.id(value, field)
        if text is not None and text not in options:
            self.bad(field, f"No family has an option {_shown(text)}.")
            return None
        return text

    def literal(self, value: Any, field: str, options: dict[str, str]) -> str | None:
        if isinstance(value, str) and value.startswith("!"):
            option = self.known(value[1:], field, options)
            return None if option is None else "!" + option
        return self.known(value, field, options)

    def literals(self, obj: dict[str, Any], key: str, field: str, options: dict[str, str]) -> tuple[str, ...]:
        found = [self.literal(item, at, options) for at, item in self.items(obj, key, field)]
        return tuple(literal for literal in found if literal is not None)


def _read_limit(reader: _Reader, obj: dict[str, Any], kind: Any, field: str) -> int | None:
    limit = obj.get("limit")
    if kind == "at_most":
        if limit is None:
            reader.bad(field, "An 'at_most' family needs a limit.")
        elif isinstance(limit, bool) or not isinstance(limit, int):
            reader.wrong_type(field, limit, "a whole number")
        elif limit < 0:
            reader.bad(field, "A limit cannot be below 0.")
        else:
            return limit
    elif limit is not None and kind in KINDS:
        reader.bad(field, f"Only an 'at_most' family has a limit; this one is {kind!r}.")
    return None


def _read_family(
    reader: _Reader, obj: Any, field: str, families: dict[str, str], options: dict[str, str]
) -> Family | None:
    if not isinstance(obj, dict):
        reader.wrong_type(field, obj, "an object")
        return None
    id = reader.new_id(obj["id"], f"{field}.id", families) if reader.has(obj, "id", field) else None
    kind = obj.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        reader.bad(f"{field}.kind", "Must be 'one', 'any' or 'at_most'.")
    limit = _read_limit(reader, obj, kind, f"{field}.limit")
    ids = [reader.new_id(item, at, options) for at, item in reader.items(obj, "options", field)]
    name = reader.text(obj.get("name", ""), f"{field}.name") or ""
    return Family(id or "", kind, tuple(i for i in ids if i), limit, name)  # type: ignore[arg-type]


def _read_rule(
    reader: _Reader, obj: Any, field: str, rules: dict[str, str], options: dict[str, str]
) -> Rule | None:
    if not isinstance(obj, dict):
        reader.wrong_type(field, obj, "an object")
        return None
    id = reader.new_id(obj["id"], f"{field}.id", rules) if reader.has(obj, "id", field) else None
    reason = reader.text(obj["reason"], f"{field}.reason") if reader.has(obj, "reason", field) else None
    if_all = reader.literals(obj, "if", field, options)
    then_any = reader.literals(obj, "then_any", field, options)
    return Rule(id or "", if_all, then_any, reason or "")


def _read(reader: _Reader, obj: dict[str, Any]) -> tuple[Problem, tuple[str, ...], str | None]:
    families: dict[str, str] = {}
    options: dict[str, str] = {}
    rules: dict[str, str] = {}
    read_families = [
        _read_family(reader, f, at, families, options) for at, f in reader.items(obj, "families")
    ]
    read_rules = [_read_rule(reader, r, at, rules, options) for at, r in reader.items(obj, "rules")]
    chosen = [reader.known(c, at, options) for at, c in reader.items(obj, "chosen")]
    want = obj.get("want")
    if want is not None:
        want = reader.known(want, "want", options)
    problem = Problem(tuple(f for f in read_families if f), tuple(r for r in read_rules if r))
    return problem, tuple(c for c in chosen if c), want


def read_problem(obj: Any) -> tuple[Problem, tuple[str, ...], str | None]:
    """Return the problem, the chosen ids and the wanted id (or None) of one `check_rules` input.

    Raises InputErrors with everything that is wrong, each beside the field that caused it.
    """
    reader = _Reader()
    if not isinstance(obj, dict):
        reader.wrong_type("", obj, "an object")
        raise InputErrors(reader.errors)
    read = _read(reader, obj)
    if reader.errors:
        raise InputErrors(reader.errors)
    return read


def problem_errors(problem: Problem) -> list[dict[str, str]]:
    """Return what is wrong with a problem built in code; empty when nothing is."""
    reader = _Reader()
    _read(reader, problem.as_dict() | {"chosen": []})
    return reader.errors
