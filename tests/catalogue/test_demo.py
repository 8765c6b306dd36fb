"""The demonstration catalogue: enough of everything, plausible, and instructive where it does not fit."""

from __future__ import annotations

import pytest
from schwifty import IBAN

from configurator.catalogue import selectors
from configurator.catalogue.models import Option

from .test_demo_fits import FOUR_WHEELS, fit


def test_there_is_enough_of_everything(catalogue):
    kinds = [option.kind for option in catalogue.options.values()]
    assert len(catalogue.generations) == 6
    assert len({one.maker_id for one in catalogue.generations.values()}) >= 2
    assert {one.body_style for one in catalogue.generations.values()} == {
        "van",
        "pickup",
        "car",
        "motorcycle",
    }
    assert set(catalogue.axles) == {(code, at) for code in catalogue.generations for at in ("front", "rear")}
    assert len(catalogue.wheels) >= 24
    assert len(catalogue.tyres) >= 24
    assert len(catalogue.finishes) >= 16
    assert kinds.count(Option.Kind.PANEL) >= 20
    assert kinds.count(Option.Kind.REMOVAL) >= 8
    assert len(catalogue.rules) >= 15
    assert len(catalogue.suppliers) >= 5
    assert not catalogue.generations["whinchat-680"].takes_spacers
    sizes = {(spacer.kind, spacer.thickness_mm) for spacer in catalogue.spacers.values()}
    assert {("slip_on", 3), ("slip_on", 20), ("bolt_on", 20), ("bolt_on", 30)} <= sizes


def test_the_bank_account_is_the_registry_example_and_valid(catalogue):
    # ISO 13616-1; a published example of the registry, checked by an independent library.
    assert IBAN(catalogue.workshop.iban).is_valid
    assert catalogue.workshop.iban == "DE89370400440532013000"


@pytest.mark.long
@pytest.mark.parametrize("generation", FOUR_WHEELS)
def test_every_bolt_that_a_fitting_build_needs_is_stocked_in_black_and_silver_and_locking(
    catalogue, generation
):
    axle = catalogue.axles[generation, "front"]
    for wheel in selectors.wheels_for(catalogue, axle):
        for spacer in (None, *selectors.spacers_for(catalogue, axle)):
            tyre = selectors.tyres_for(catalogue, axle.generation, wheel.diameter_in)[0]
            report = fit(
                catalogue, generation, "front", wheel.code, tyre.code, spacer.code if spacer else None
            )
            for need in report.needs:
                data = need.as_dict()
                if need.what == "fastener" and wheel.bolt_circle_mm == axle.bolt_circle_mm:
                    near = [
                        one
                        for one in catalogue.fasteners.values()
                        if (one.kind, one.thread, one.seat) == (data["kind"], data["thread"], data["seat"])
                        and (one.shank_mm is None or abs(one.shank_mm - data["shank_mm"]) <= 2.5)
                    ]
                    kinds = {(one.finish.code, one.locking) for one in near}
                    assert kinds == {
                        (finish, locking) for finish in ("silver", "gloss-black") for locking in (False, True)
                    }, data


def test_the_ordinary_van_step_needs_42_mm_bolts(catalogue):
    # Common practice, no source: shank longer by the spacer's thickness, 27 + 15.
    report = fit(
        catalogue,
        "haldor-2",
        "front",
        "torvik-8x18-5x112-et50-gloss-black",
        "haul-225-50r18c-108-106t",
        "sp-5x112-666-15",
    )
    need = next(need.as_dict() for need in report.needs if need.what == "fastener")
    assert (need["shank_mm"], need["seat"], need["count"]) == (42.0, "cone60", 10)
