"""What fits what in the demonstration catalogue, and the builds that teach."""

from __future__ import annotations

import pytest

from configurator.catalogue import selectors
from configurator.fitment import check_fit

FOUR_WHEELS = ("haldor-2", "ambry-1", "skarn-3", "vireo-4", "merle-2")


def fit(catalogue, generation, position, wheel, tyre, spacer=None):
    axle = catalogue.axles[generation, position]
    return check_fit(
        axle=selectors.axle_data(axle),
        wheel=selectors.wheel_data(catalogue.wheels[wheel]) if wheel else selectors.original_wheel_data(axle),
        tyre=selectors.tyre_data(catalogue.tyres[tyre]) if tyre else selectors.axle_data(axle).original_tyre,
        spacer=selectors.spacer_data(catalogue.spacers[spacer]) if spacer else None,
    )


@pytest.mark.long
@pytest.mark.parametrize("generation", FOUR_WHEELS)
def test_at_least_four_wheels_fit_both_axles(catalogue, generation):
    whole = catalogue.generations[generation]
    fitting = set()
    for wheel in selectors.wheels_for(catalogue, catalogue.axles[generation, "front"]):
        for tyre in selectors.tyres_for(catalogue, whole, wheel.diameter_in):
            found = [
                fit(catalogue, generation, at, wheel.code, tyre.code).verdict for at in ("front", "rear")
            ]
            if found == ["fits", "fits"]:
                fitting.add(wheel.code)
                break
    assert len(fitting) >= 4


@pytest.mark.parametrize("generation", [*FOUR_WHEELS, "whinchat-680"])
def test_the_original_fits_its_own_vehicle(catalogue, generation):
    for position in ("front", "rear"):
        assert fit(catalogue, generation, position, None, None).verdict == "fits"


@pytest.mark.parametrize(
    ("build", "verdict", "check"),
    [
        (
            (
                "haldor-2",
                "front",
                "torvik-8x18-5x112-et50-gloss-black",
                "haul-225-50r18c-108-106t",
                "sp-5x112-666-15",
            ),
            "fits",
            None,
        ),
        (
            ("haldor-2", "rear", "torvik-8x18-5x112-et50-gloss-black", "road-235-50r18-101h"),
            "no",
            "tyre_load",
        ),
        (
            ("haldor-2", "front", "torvik-6.5x16-5x112-et50-silver", "haul-205-65r16c-107-105t"),
            "no",
            "brake_clearance",
        ),
        (
            (
                "haldor-2",
                "front",
                "torvik-6.5x16-5x112-et50-silver",
                "haul-205-65r16c-107-105t",
                "sp-5x112-666-15",
            ),
            "measure",
            "brake_clearance",
        ),
        (
            (
                "haldor-2",
                "front",
                "torvik-6.5x16-5x112-et50-silver",
                "haul-205-65r16c-107-105t",
                "sp-5x112-666-20",
            ),
            "fits",
            None,
        ),
        (
            (
                "haldor-2",
                "front",
                "torvik-8x18-5x112-et50-gloss-black",
                "haul-225-50r18c-108-106t",
                "sp-5x112-666-8",
            ),
            "measure",
            "spigot_engagement",
        ),
        (
            (
                "haldor-2",
                "front",
                "torvik-8x18-5x112-et50-gloss-black",
                "haul-225-50r18c-108-106t",
                "sb-5x112-666-30",
            ),
            "no",
            "track_change",
        ),
        (
            ("haldor-2", "front", "osmund-8.5x19-5x112-et45-gloss-black", "road-245-45r19-102y"),
            "no",
            "speedometer",
        ),
        (
            ("haldor-2", "front", "brisling-8x18-5x112-et45-graphite", "haul-225-50r18c-108-106t"),
            "no",
            "wheel_load",
        ),
        (
            ("haldor-2", "front", "vadum-7.5x18-5x112-et48-silver", "haul-225-50r18c-108-106t"),
            "no",
            "centre_bore",
        ),
        (
            ("haldor-2", "front", "ristel-8x18-5x112-et50-satin-black", "haul-225-50r18c-108-106t"),
            "unknown",
            "brake_clearance",
        ),
        (
            ("haldor-2", "front", "torvik-8x18-5x120-et50-silver", "haul-225-50r18c-108-106t"),
            "no",
            "bolt_circle",
        ),
        (
            ("skarn-3", "front", "granvik-9x17-6x1397-etm12-satin-black", "trail-265-65r17-112t"),
            "no",
            "wheel_cover",
        ),
        (("skarn-3", "front", "ristel-9x20-6x1397-et25-gloss-black", "trail-265-50r20-111t"), "fits", None),
        (
            (
                "skarn-3",
                "front",
                "granvik-8x17-6x1397-et30-gloss-black",
                "trail-265-65r17-112t",
                "sp-6x1397-1034-15",
            ),
            "no",
            "thread_engagement",
        ),
        (
            (
                "skarn-3",
                "front",
                "granvik-8x17-6x1397-et30-gloss-black",
                "trail-265-65r17-112t",
                "sb-6x1397-1034-30",
            ),
            "fits",
            None,
        ),
        (
            ("vireo-4", "front", "vadum-7.5x18-5x108-et45-gloss-black", "town-225-40r18-92q"),
            "no",
            "tyre_speed",
        ),
        (
            (
                "vireo-4",
                "front",
                "osmund-8x19-5x108-et40-gloss-black",
                "road-235-35r19-91y",
                "sp-5x108-634-15",
            ),
            "no",
            "outboard_position",
        ),
        (
            ("merle-2", "front", "osmund-8x18-5x112-et45-bronze", "road-225-45r18-95w", "sp-5x112-604-5"),
            "fits",
            None,
        ),
        (
            ("merle-2", "front", "osmund-8x18-5x112-et45-bronze", "road-225-45r18-95w", "sp-5x112-604-10"),
            "no",
            "spacer_kind",
        ),
        (
            (
                "ambry-1",
                "front",
                "osmund-8.5x19-5x120-et48-gloss-black",
                "road-245-45r19-102y",
                "sp-5x120-618-5",
            ),
            "fits",
            None,
        ),
        (("whinchat-680", "rear", "skerry-5.5x17-rear-gloss-black", "lean-180-55r17-73w"), "fits", None),
        (
            ("whinchat-680", "rear", "skerry-3.5x17-front-gloss-black", "lean-180-55r17-73w"),
            "no",
            "tyre_rim_width",
        ),
    ],
)
def test_builds_that_teach(catalogue, build, verdict, check):
    report = fit(catalogue, *build)
    assert report.verdict == verdict
    if check:
        assert report.check(check).verdict == verdict
