"""The border: JSON-like data in, parts out, with every error gathered beside the field that caused it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from pydantic import TypeAdapter, ValidationError

from configurator.json_input import InputErrors

from .designation import Tyre, TyreDesignationError
from .parts import Axle, Fastener, Spacer, TyreField, Wheel
from .vehicle import AxleTyres, Vehicle


@dataclass(frozen=True)
class FitInput:
    """The parts of one fit; `ignored` names fields that were given but mean nothing here."""

    axle: Axle
    wheel: Wheel
    tyre: Tyre
    spacer: Spacer | None = None
    fastener: Fastener | None = None
    ignored: tuple[str, ...] = ()


@dataclass(frozen=True)
class VehicleInput:
    """A `vehicle` block: drive and limit, the tyres of both axles, and the fits of those given whole."""

    vehicle: Vehicle
    tyres: Mapping[str, AxleTyres]
    fits: Mapping[str, FitInput] = field(default_factory=dict)
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
    "vehicle": TypeAdapter(Vehicle),
    "tyres": TypeAdapter(AxleTyres),
}
_FIT = ("axle", "wheel", "tyre", "spacer", "fastener")
_POSITIONS = ("front", "rear")


def read_input(obj: object, *, beside: tuple[str, ...] = (), under: str = "") -> FitInput:
    """Read one input of `check_fit`. Raises InputErrors with all that is wrong, not only the first.

    `beside` are further keys that others read; `under` is where the input stands in a larger one.
    """
    if not isinstance(obj, Mapping):
        raise InputErrors([_error(under or "input", "an input is a JSON object with axle, wheel and tyre")])
    errors: list[dict[str, str]] = []
    parts = {name: _read_part(name, obj, errors) for name in _FIT}
    if errors:
        raise InputErrors([_error(_below(under, e["field"]), e["message"]) for e in errors])
    ignored = tuple(_below(under, name) for name in _ignored(obj) if name not in beside)
    return FitInput(**parts, ignored=ignored)


def read_vehicle(obj: object, *, beside: FitInput | None = None) -> VehicleInput:
    """Read a `vehicle` block. Raises InputErrors.

    `front` and `rear` are whole fits, or only {"tyre", "original_tyre"}; an axle that is not given is the fit
    beside the block, when that is of its position.
    """
    if not isinstance(obj, Mapping):
        raise InputErrors([_error("vehicle", "must be an object")])
    errors: list[dict[str, str]] = []
    own = {key: value for key, value in obj.items() if key not in _POSITIONS}
    vehicle = _validated("vehicle", own, errors)
    tyres, fits, ignored = {}, {}, [f"vehicle.{key}" for key in own if key not in _names(Vehicle)]
    for position in _POSITIONS:
        try:
            fit, tyres[position] = _read_axle(position, obj.get(position), beside)
        except InputErrors as caught:
            errors += caught.errors
            continue
        if fit is not None:
            fits[position] = fit
            ignored += fit.ignored
    if errors:
        raise InputErrors(errors)
    return VehicleInput(vehicle, tyres, fits, tuple(ignored))


def _read_axle(position: str, given: object, beside: FitInput | None) -> tuple[FitInput | None, AxleTyres]:
    where = f"vehicle.{position}"
    if given is None:
        own = beside if beside is not None and beside.axle.position == position else None
        return None, _tyres_of(own) if own else AxleTyres()
    if not isinstance(given, Mapping):
        raise InputErrors([_error(where, "must be an object")])
    if "axle" in given:
        fit = read_input(given, under=where)
        if fit.axle.position != position:
            raise InputErrors([_error(f"{where}.axle.position", f"must be {position} here")])
        return fit, _tyres_of(fit)
    errors: list[dict[str, str]] = []
    found = _validated("tyres", given, errors, where)
    if errors:
        raise InputErrors(errors)
    return None, found


def _tyres_of(fit: FitInput) -> AxleTyres:
    return AxleTyres(tyre=fit.tyre, original_tyre=fit.axle.original_tyre)


def _below(under: str, name: str) -> str:
    return f"{under}.{name}" if under else name


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
    return _validated(name, given, errors)


def _validated(name: str, given: object, errors: list[dict[str, str]], where: str = "") -> Any:
    try:
        return _READERS[name].validate_python(given)
    except ValidationError as caught:
        errors += [
            _error(_path(where or name, problem["loc"]), _message(problem))
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


def _names(kind: type) -> set[str]:
    return {each.name for each in fields(kind)}


def _ignored(obj: Mapping[Any, Any]) -> tuple[str, ...]:
    """Name what was given but not read, so that a slip of the pen does not pass in silence."""
    names = [str(key) for key in obj if key not in _FIT]
    for part, (kind, _) in _PARTS.items():
        known = _names(kind)
        names += [f"{part}.{key}" for key in obj.get(part) or () if key not in known]
    return tuple(names)
