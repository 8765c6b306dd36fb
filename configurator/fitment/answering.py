"""One input of `check_fit` answered as plain data: an axle's fit, the whole vehicle's pairing, or both."""

from dataclasses import replace
from typing import Any

from configurator.json_input import InputErrors

from .reading import FitInput, VehicleInput, read_input, read_vehicle
from .report import FitReport, check_fit, worst_verdict
from .vehicle import axle_pairing


def answer_input(obj: object) -> dict[str, Any]:
    """Return the answer to one input. Raises InputErrors with all that is wrong.

    An input has `axle`, `wheel` and `tyre`, or a `vehicle` block, or both. The answer to a block stands under
    `vehicle`: its verdict, the rows of the whole vehicle, and the reports of the axles that were given whole.
    """
    if not isinstance(obj, dict) or obj.get("vehicle") is None:
        return _answer(read_input(obj), None)
    given, errors = None, []
    alone = not any(part in obj for part in ("axle", "wheel", "tyre"))
    if not alone:
        try:
            given = read_input(obj, beside=("vehicle",))
        except InputErrors as caught:
            errors = caught.errors
    try:
        found = read_vehicle(obj["vehicle"], beside=given)
    except InputErrors as caught:
        errors = errors + caught.errors
    if errors:
        raise InputErrors(errors)
    if alone:
        found = replace(found, ignored=(*(str(key) for key in obj if key != "vehicle"), *found.ignored))
    return _answer(given, found)


def _answer(given: FitInput | None, whole: VehicleInput | None) -> dict[str, Any]:
    nothing: dict[str, Any] = {"verdict": "fits", "checks": [], "needs": [], "derived": {}}
    found = _report(given).as_dict() if given else nothing
    if whole is not None:
        found["vehicle"] = _vehicle(whole)
        found["verdict"] = worst_verdict((found["verdict"], found["vehicle"]["verdict"]))
    ignored = (given.ignored if given else ()) + (whole.ignored if whole else ())
    return found | ({"ignored": list(ignored)} if ignored else {})


def _report(given: FitInput) -> FitReport:
    return check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)


def _vehicle(whole: VehicleInput) -> dict[str, Any]:
    row = axle_pairing(whole.vehicle, whole.tyres["front"], whole.tyres["rear"])
    axles = {position: _report(fit).as_dict() for position, fit in whole.fits.items()}
    verdicts = (row.verdict, *(axle["verdict"] for axle in axles.values()))
    return {"verdict": worst_verdict(verdicts), "checks": [row.as_dict()], **axles}
