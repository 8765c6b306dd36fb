"""The demonstration catalogue: enough of everything, plausible, and instructive where it does not fit."""

from __future__ import annotations

from pathlib import Path

import pytest
from schwifty import IBAN

from configurator.catalogue import selectors
from configurator.catalogue.models import Option
from configurator.fitment import check_fit
from tests.tables import read_table

DATA = Path(__file__).parent / "data"
FOUR_WHEELS = ("haldor-2", "ambry-1", "skarn-3", "vireo-4", "merle-2")


def fit(catalogue, generation, position, wheel, tyre, spacer=None):
    axle = catalogue.axles[generation, position]
    return check_fit(
        axle=selectors.axle_data(axle),
        wheel=selectors.wheel_data(catalogue.wheels[wheel]) if wheel else selectors.original_wheel_data(axle),
        tyre=selectors.tyre_data(catalogue.tyres[tyre]) if tyre else selectors.axle_data(axle).original_tyre,
        spacer=selectors.spacer_data(catalogue.spacers[spacer]) if spacer else None,
    )


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


def test_every_coat_keeps_to_the_directive(catalogue):
    # Directive 2004/42/EC Annex II B; wash primer and pre-cleaner are not used here.
    rows = read_table(DATA / "voc_limits.csv")
    limits: dict[str, float] = {}
    for row in rows:
        if row["coating"] not in ("wash primer", "pre-cleaner"):
            limits[row["subcategory"]] = float(row["limit_g_per_l"])
    coats = [coat for system in catalogue.paint_systems.values() for coat in system.layers.all()]
    assert len(coats) == 18
    for coat in coats:
        assert coat.voc_g_per_l <= limits[coat.voc_subcategory], coat


@pytest.mark.parametrize(
    ("system", "most_wait_h", "least_wait_h"), [("badge-wet", 1, 0), ("badge-build", 24, 4)]
)
def test_bare_chrome_is_primed_wet_on_wet_or_built_up_and_left_to_dry(
    catalogue, system, most_wait_h, least_wait_h
):
    # Common practice, no source.
    primer = catalogue.paint_systems[system].layers.all()[0]
    assert primer.stage == "prime"
    assert least_wait_h <= primer.wait_h <= most_wait_h


def test_calipers_are_painted_heat_resistant_and_badges_are_not(catalogue):
    # Common practice, no source.
    for option in catalogue.options.values():
        hot = option.paint_system and (option.paint_system.max_temperature_c or 0) > 300
        if "caliper-paint" in option.tags:
            assert option.paint_system.code == "caliper-heat"
        if "badge-paint" in option.tags:
            assert not hot
            used = {row.item.code for row in catalogue.recipes[option.recipe.code].materials.all()}
            assert {"tape-6", "adhesion-promoter", "degreaser", "disc-p320"} <= used


def test_every_accent_has_a_heat_resistant_version_of_its_colour(catalogue):
    for accent in selectors.accents(catalogue):
        heat = selectors.heat_version(catalogue, accent)
        assert heat is not None
        assert heat.hex == accent.hex
        assert selectors.heat_version(catalogue, heat) is heat
    assert len(selectors.accents(catalogue)) >= 6


def test_removed_badges_are_polished_and_bonded_panels_wait(catalogue):
    # Common practice, no source.
    for option in catalogue.options.values():
        if option.recipe is None:
            continue
        steps = catalogue.recipes[option.recipe.code].operations.all()
        if option.kind == Option.Kind.REMOVAL:
            assert any(step.stage == "polish" for step in steps), option
        if "bonded" in option.tags:
            assert any(step.stage == "bond" and step.wait_h > 0 for step in steps), option


def test_work_on_wheels_brakes_and_bonding_carries_its_caution(catalogue):
    for recipe in catalogue.recipes.values():
        for step in recipe.operations.all():
            if step.stage in ("wheels off", "wheels on", "bond") or "caliper" in recipe.code:
                exempt = step.paints or step.stage == "torque"
                assert step.caution or exempt, step
    for system in catalogue.paint_systems.values():
        assert system.caution


def test_anti_seize_is_for_wheels_and_spacers(catalogue):
    # Common practice, no source: mating faces only.
    using = {
        recipe.code
        for recipe in catalogue.recipes.values()
        for row in recipe.materials.all()
        if row.item.code == "anti-seize"
    }
    assert using == {"wheels", "spacers"}


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
