"""Bolts, locking bolts and rings: never missing in silence, whatever is chosen."""

from dataclasses import replace
from itertools import product

import pytest

from configurator.builds.axles import fit_axle
from configurator.builds.build import AxleBuild
from configurator.builds.evaluate import evaluate
from configurator.builds.selection import Selection

from .builds import BLACK_18, SPACER_15, VAN_TYRE_18


def axle(catalogue, generation="haldor-2", position="front", **codes):
    parts = {kind: getattr(catalogue, f"{kind}s")[code] for kind, code in codes.items()}
    return AxleBuild(position, catalogue.axles[generation, position], **parts)


def of_kind(found, kind):
    return [piece for piece in found.pieces if piece.kind == kind]


def test_a_spacer_bored_for_another_hub_brings_the_ring_that_fills_it(catalogue):
    """A hub of 60.4 mm in a spacer of 66.6: the ring, its work and its line, as for a wheel."""
    row = axle(catalogue, "merle-2", wheel="brisling-8x18-5x112-et45-graphite", spacer=SPACER_15)
    (ring,) = of_kind(fit_axle(row, catalogue), "ring")
    assert (ring.part.outer_mm, ring.part.inner_mm, ring.quantity) == (66.6, 60.4, 2)
    assert ring.choice[0] == f"front-spacer:{SPACER_15}"
    only = {"generation": "merle-2", "front": {"spacer": SPACER_15}}
    evaluation = evaluate(Selection(**only), catalogue)
    (line,) = [line for line in evaluation.parts if line.kind == "ring"]
    assert line.quantity == 2
    assert any("rings" in step.name for step in evaluation.work.steps)


def test_what_nobody_stocks_is_said(catalogue):
    """A fit that needs bolts and rings which the catalogue has not is no fit without a word."""
    bare = replace(catalogue, fasteners={}, rings={})
    row = axle(bare, wheel=BLACK_18, tyre=VAN_TYRE_18, spacer=SPACER_15)
    found = fit_axle(row, bare)
    assert not found.pieces
    assert "Not in our catalogue" in found.fit.headline
    assert "needs 42 mm bolts" in found.fit.headline
    stocked = fit_axle(axle(catalogue, wheel=BLACK_18, tyre=VAN_TYRE_18, spacer=SPACER_15), catalogue)
    assert "Not in our catalogue" not in stocked.fit.headline


@pytest.mark.long
def test_whatever_fits_has_its_bolts_locking_bolts_and_rings(catalogue):
    """Every wheel with every spacer that goes on the axle: one fastener a hole, a locking one a new wheel."""
    for (generation, position), data in catalogue.axles.items():
        wheels = [w for w in catalogue.wheels.values() if w.bolt_count == data.bolt_count]
        spacers = [s for s in catalogue.spacers.values() if s.bolt_circle_mm == data.bolt_circle_mm]
        for wheel, spacer in product([None, *wheels], [None, *spacers]):
            if data.mounting != "bolted" or not (wheel or spacer):
                continue
            found = fit_axle(AxleBuild(position, data, wheel=wheel, spacer=spacer), catalogue)
            if found.fit.verdict == "no":
                continue
            fasteners = of_kind(found, "fastener")
            assert sum(piece.quantity for piece in fasteners) == data.bolt_count * data.wheels
            locking = [piece.quantity for piece in fasteners if piece.part.locking]
            assert locking == ([data.wheels] if wheel else []), (generation, wheel, spacer)
            if spacer and spacer.kind == "slip_on" and data.fastener == "bolt":
                assert all(p.part.shank_mm > data.original_shank_mm for p in fasteners) or wheel
            rings = [need for need in found.fit.needs if need.what == "centring_ring"]
            assert len(rings) == len(of_kind(found, "ring")), (generation, wheel, spacer)
