"""Brake to wheel, by hand-worked geometry and by brute force on dense points."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.fitment.profile import clearance_mm, inboard_first

# A step: barrel of radius 200 to y = 20, then in to radius 150, on to y = 50, then in to the hub pad.
STEP = ((200.0, -80.0), (200.0, 20.0), (150.0, 20.0), (150.0, 50.0), (70.0, 50.0))


@pytest.mark.parametrize(
    ("point", "shift", "gap"),
    [
        ((180.0, -30.0), 0.0, 20.0),  # straight out to the barrel
        ((180.0, 10.0), 0.0, 10.0),  # nearer to the step's face at y = 20
        ((140.0, 20.0), 0.0, 10.0),  # level with the step: to the corner at radius 150
        ((147.0, 16.0), 0.0, 5.0),  # 3-4-5 to that corner
        ((140.0, 45.0), 0.0, 5.0),  # to the pad's face at y = 50
        ((180.0, 30.0), 0.0, -10.0),  # 10 mm into the spokes
        ((203.0, -30.0), 0.0, -3.0),  # 3 mm into the barrel
        ((180.0, 30.0), 15.0, 5.0),  # a 15 mm spacer frees it
        ((197.0, -84.0), 0.0, 3.0),  # inboard of the lip: to the barrel continued
        ((197.0, -84.0), 5.0, 3.0),
        ((203.0, -84.0), 0.0, -3.0),  # a true distance there too
    ],
)
def test_hand_worked_points(point, shift, gap):
    assert clearance_mm(STEP, (point,), shift) == pytest.approx(gap)


def test_a_sloping_profile():
    # The line from (205, -45) to (160, 45) has the unit normal (2, 1)/sqrt 5; from (178, -35) the way to it
    # is ((205 - 178) * 2 + (-45 + 35)) / sqrt 5 = 44 / sqrt 5.
    gap = clearance_mm(((205.0, -60.0), (160.0, 30.0)), ((178.0, -35.0), (140.0, 20.0)), 15.0)
    assert gap == pytest.approx(44 / math.sqrt(5))


def test_a_corner_of_the_wheel_may_be_nearest_to_a_side_of_the_brake():
    # The corner (150, 20) stands 10 mm from the brake's side r = 140, far from both of its ends.
    brake = ((140.0, -60.0), (140.0, 45.0))
    wheel = ((200.0, -80.0), (200.0, 20.0), (150.0, 20.0), (200.0, 25.0), (200.0, 60.0))
    assert clearance_mm(wheel, brake, 0.0) == pytest.approx(10.0)


def test_a_wheel_that_pierces_the_brake_between_its_points_is_a_clash():
    brake = ((160.0, -60.0), (160.0, 45.0))
    wheel = ((200.0, -80.0), (200.0, 20.0), (150.0, 20.0), (200.0, 25.0), (200.0, 60.0))
    assert clearance_mm(wheel, brake, 0.0) == pytest.approx(-10.0)


def test_beyond_the_known_profile_is_not_known():
    assert math.isnan(clearance_mm(((200.0, -80.0), (195.0, 10.0)), ((100.0, 30.0),), 0.0))
    assert clearance_mm(((200.0, -80.0), (195.0, 10.0)), ((100.0, 30.0),), 25.0) > 90
    assert clearance_mm(((200.0, -80.0), (195.0, 10.0)), ((198.0, -20.0), (100.0, 30.0)), 0.0) < 0


def test_nothing_known_is_not_known():
    assert math.isnan(clearance_mm((), ((1.0, 1.0),), 0.0))
    assert math.isnan(clearance_mm(STEP, (), 0.0))


def test_either_direction_of_writing_gives_the_same():
    assert inboard_first(STEP[::-1]) == STEP
    assert inboard_first(STEP) == STEP


def _dense(line, per_side=400):
    points = []
    for (r1, y1), (r2, y2) in pairwise(line):
        along = np.linspace(0, 1, per_side)
        points.append(np.column_stack([r1 + along * (r2 - r1), y1 + along * (y2 - y1)]))
    return np.concatenate(points)


radii = st.floats(90, 140)


BESIDE = given(
    st.lists(st.tuples(radii, st.floats(-50, 20)), min_size=2, max_size=4),
    st.lists(st.tuples(st.floats(160, 220), st.floats(-70, 40)), min_size=2, max_size=4),
    st.floats(0, 30),
)


@pytest.mark.long
@settings(max_examples=8)
@BESIDE
def test_free_brakes_agree_with_brute_force(brake, wheel, shift):
    agrees(brake, wheel, shift)


@pytest.mark.long
@BESIDE
def test_many_free_brakes_agree_with_brute_force(brake, wheel, shift):
    agrees(brake, wheel, shift)


def agrees(brake, wheel, shift):
    # Sorted by y, brake inside and wheel outside never cross; past the wheel's last point all is unknown, and
    # inboard of its first the barrel goes on.
    wheel = [*sorted(wheel, key=lambda p: p[1]), (150.0, 60.0)]
    gap = clearance_mm(tuple(wheel), tuple(brake), shift)
    barrel = [(wheel[0][0], -150.0), *wheel]
    a, b = _dense(brake), _dense([(r, y + shift) for r, y in barrel])
    nearest = min(np.sqrt(((b - point) ** 2).sum(axis=1)).min() for point in a)
    assert nearest - 0.6 <= gap <= nearest + 1e-9
