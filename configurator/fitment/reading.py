"""The border: JSON-like data in, parts out, with every error gathered beside the field that caused it."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from pydantic import TypeAdapter, ValidationError

from configurator.json_input import InputErrors

from .designation import Tyre, TyreDesignationError
from .parts import Axle, Fastener, Spacer, TyreField, Wheel


@dataclass(frozen=True)
class FitInput:
    """The parts of one fit; `ignored` names fields that were given but mean nothing here."""

    axle: Axle
    wheel: Wheel
    tyre: Tyre
    spacer: Spacer | None = None
    fastener: Fastener | None = None
    ignored: tuple[str, ...] = ()


_PARTS: dict[str, tuple[type, bool]] = {
    "axle": (Axle, True),
    "wheel": (Wheel, True),
    "spacer": (Spacer, False),
    "fastener": (Fastener, False),
}
_READERS: dict[str, TypeAdapter[Any]] = {
    **{name: TypeAdapter(kind) for name, (kind, _) in _PARTS.items()},
    "tyre": TypeAdapter(TyreField),
}


def read_input(obj: object) -> FitInput:
    """Read one input of `check_fit`. Raises InputErrors with all that is wrong, not only the first."""
    if not isinstance(obj, Mapping):
        raise InputErrors([_error("input", "an input is a JSON object with axle, wheel and tyre")])
    errors: list[dict[str, str]] = []
    parts = {name: _read_part(name, obj, errors) for name in ("axle", "wheel", "tyre", "spacer", "fastener")}
    if errors:
        raise InputErrors(errors)
    return FitInput(**parts, ignored=_ignored(obj))


def _error(field: str, message: str) -> dict[str, str]:
    return {"field": field, "message": message}


def _read_part(name: str, obj: Mapping[Any, Any], errors: list[dict[str, str]]) -> Any:
    given = obj.get(name)
    if given is None:
        if name in ("axle", "wheel", "tyre"):
            errors.append(_error(name, "missing"))
        return None
    if name != "tyre" and not isinstance(given, Mapping):
        errors.append(_error(name, "must be an object"))
        return None
    try:
        return _READERS[name].validate_python(given)
    except ValidationError as caught:
        errors += [
            _error(_path(name, problem["loc"]), _message(problem))
            for problem in caught.errors(include_url=False, include_input=False)
        ]
    return None


def _path(name: str, loc: tuple[int | str, ...]) -> str:
    return ".".join([name, *(str(step) for step in loc)])


def _message(problem: Any) -> str:
    cause = problem.get("ctx", {}).get("error")
    if isinstance(cause, TyreDesignationError):
        return str(cause)
    if cause is not None:
        return str(cause)
    text = str(problem["msg"])
    return text.replace("Input should be", "must be").replace("Field required", "missing")


def _ignored(obj: Mapping[Any, Any]) -> tuple[str, ...]:
    """Name what was given but not read, so that a slip of the pen does not pass in silence."""
    names = [str(key) for key in obj if key not in _READERS]
    for part, (kind, _) in _PARTS.items():
        known = {field.name for field in fields(kind)}
        names += [f"{part}.{key}" for key in obj.get(part) or () if key not in known]
    return tuple(names)
