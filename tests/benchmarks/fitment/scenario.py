"""An invented catalogue of 5,000 wheels, 20 tyres and 8 spacers, and two axles, the same on every run."""

import random
from dataclasses import replace

from configurator.fitment import Axle, OriginalWheel, Spacer, Tyre, Wheel, parse_tyre

WHEELS = 5000
TYRES = [
    "205/65R16C 107/105T",
    "215/60R16 99H",
    "215/65R16C 109/107T",
    "225/55R17 101V",
    "225/60R17 103H",
    "235/55R17 103W XL",
    "215/60R17C 109/107T",
    "235/50R18 101H XL",
    "235/55R18 104V",
    "225/50R18 99W",
    "245/45R18 100W",
    "255/45R18 103Y",
    "255/55R18 109H",
    "235/45R18 98W",
    "245/45R19 102Y",
    "255/40R19 100W",
    "255/50R19 107W",
    "235/40R19 96W",
    "245/40R19 98Y",
    "215/55R18 99V",
]
THICKNESSES_MM = (5.0, 8.0, 12.0, 15.0, 18.0, 20.0, 25.0)


def axles() -> tuple[Axle, Axle]:
    """Return a front and a rear axle of an invented van."""
    front = Axle(
        position="front",
        bolt_count=5,
        bolt_circle_mm=112.0,
        spigot_diameter_mm=66.6,
        spigot_height_mm=12.0,
        fastener="bolt",
        thread="M14x1.5",
        property_class="10.9",
        seat="cone60",
        original_shank_mm=27.0,
        original_seat_thickness_mm=13.0,
        hub_thread_mm=20.0,
        free_depth_behind_hub_mm=8.0,
        axle_load_kg=1500,
        max_speed_kmh=180,
        original_track_mm=1628,
        original_wheel=OriginalWheel(width_in=6.5, diameter_in=16, offset_mm=51),
        original_tyre=parse_tyre("205/65R16C 107/105T"),
        arch_lip_mm=105.0,
        strut_face_mm=-172.0,
        arch_diameter_mm=720.0,
        brake_envelope_mm=((178.0, -35.0), (140.0, 20.0)),
        torque_nm=180,
        speedometer_reads_high_pct=4.0,
        track_change_limit_pct=4.0,
        tolerance_mm=2.0,
    )
    rear = replace(
        front,
        position="rear",
        arch_lip_mm=112.0,
        strut_face_mm=-180.0,
        brake_envelope_mm=((165.0, -30.0), (130, 15)),
    )
    return front, rear


def _wheel(rnd: random.Random) -> Wheel:
    diameter = rnd.choice((16, 17, 18, 19))
    inside = diameter * 12.7 - 18
    return Wheel(
        width_in=rnd.choice((6.5, 7.0, 7.5, 8.0, 8.5)),
        diameter_in=diameter,
        offset_mm=rnd.randint(25, 58),
        bolt_count=5,
        bolt_circle_mm=rnd.choice((112.0, 112.0, 112.0, 114.3)),
        bore_mm=rnd.choice((66.6, 66.6, 72.6, 57.1)),
        seat=rnd.choice(("cone60", "ball13")),
        seat_thickness_mm=rnd.randint(10, 16),
        load_rating_kg=rnd.choice((700, 850, 900, 1000)),
        inside_profile_mm=(
            (inside, -90.0),
            (inside - 4, -20.0),
            (inside - 15, rnd.uniform(20, 50)),
            (80.0, rnd.uniform(0, 10)),
        ),
    )


def catalogue() -> tuple[list[Wheel], list[Tyre], list[Spacer | None]]:
    """Return the wheels, tyres and spacers; the first spacer is none."""
    rnd = random.Random(1628)
    spacers = [
        Spacer(
            thickness_mm=t,
            kind="bolt_on" if t > 20 else "slip_on",
            bore_mm=66.6,
            spigot_height_mm=10.0 if t >= 12 else 0.0,
        )
        for t in THICKNESSES_MM
    ]
    return [_wheel(rnd) for _ in range(WHEELS)], [parse_tyre(t) for t in TYRES], [None, *spacers]
