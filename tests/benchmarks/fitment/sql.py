"""The same inequalities as one SQL query, for SQLite and PostgreSQL, over the same rows.

The database is spared the polylines: the brake's gap per wheel and spacer is handed to it in a table.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np

from configurator.fitment import Axle, Catalogue
from configurator.fitment.arithmetic import EPSILON
from configurator.fitment.checks import CHECK_IDS
from configurator.fitment.columns import tyre_columns
from configurator.fitment.defaults import LEAST_CLAMP_SHARE, NARROWING_LIMIT_PCT, NARROWING_USUAL_PCT
from configurator.fitment.formulas_rating import r39_speeds_kmh
from configurator.fitment.numbers import axle_numbers, fastener_numbers
from configurator.fitment.profile import clearance_mm

WHEEL = [
    "width_in",
    "diameter_in",
    "offset_mm",
    "bolt_count",
    "bolt_circle_mm",
    "bore_mm",
    "seat",
    "seat_thickness_mm",
    "load_rating_kg",
    "fitted_inside_mm",
    "inside_doubt_mm",
    "tolerance_mm",
]
TYRE = ["section_base", "diameter", "rim_code", "rim_min", "rim_max", "top_speed", "load"]
TYRE += ["width_growth", "width_tol", "diameter_tol"]
SPACER = ["thickness_mm", "kind", "bore_mm", "spigot_height_mm", "tolerance_mm"]


def _columns(table: Any, names: list[str], size: int) -> list[tuple[Any, ...]]:
    columns = [np.broadcast_to(np.ravel(getattr(table, name)), size).tolist() for name in names]
    return [(i, *(None if v != v else v for v in row)) for i, row in enumerate(zip(*columns, strict=True))]


def tables(axle: Axle, catalogue: Catalogue) -> Iterator[tuple[str, list[str], list[tuple[Any, ...]]]]:
    """Yield each table's name, columns and rows; the gap table is the axle's own."""
    n_wheels, n_tyres, n_spacers = catalogue.shape
    yield "w", WHEEL, _columns(catalogue.wheels, WHEEL, n_wheels)
    yield "t", TYRE, _columns(tyre_columns(catalogue.tyres, axle), TYRE, n_tyres)
    yield "s", SPACER, _columns(catalogue.spacers, SPACER, n_spacers)
    gap = clearance_mm(catalogue.wheels.profile, axle_numbers(axle).brake, catalogue.spacers.thickness_mm)
    rows = [
        (i, float(w), float(s), float(gap[0, s, w]))
        for i, (w, s) in enumerate((w, s) for w in range(n_wheels) for s in range(n_spacers))
    ]
    yield "g", ["w", "s", "gap"], rows


def _least(sqlite: bool, *terms: str) -> str:
    return f"{'MIN' if sqlite else 'LEAST'}({', '.join(terms)})"


def _most(sqlite: bool, *terms: str) -> str:
    return f"{'MAX' if sqlite else 'GREATEST'}({', '.join(terms)})"


def _margins(axle: Axle, sqlite: bool) -> dict[str, list[tuple[str, str]]]:
    """SQL for the margins and tolerances of each check's parts, with the axle's numbers written in."""
    a, f = axle_numbers(axle), fastener_numbers(axle, None)

    def least(*terms: str) -> str:
        return _least(sqlite, *terms)

    def most(*terms: str) -> str:
        return _most(sqlite, *terms)

    own, on = "coalesce(s.spigot_height_mm, 0)", "s.kind = 2"
    through = f"(CASE WHEN {on} THEN 0 ELSE s.thickness_mm END)"
    needed = f"({a.original_shank_mm} + {through} + w.seat_thickness_mm - {a.original_seat_thickness_mm})"
    reach = f"({needed} - w.seat_thickness_mm - {through})"
    depth = f"(CASE WHEN {on} THEN s.thickness_mm ELSE {a.hub_thread_mm} END)"
    engaged = most(least(reach, depth), "0")
    # What the spacers' threads are cut in is not known.
    wanted = (
        f"(CASE WHEN {on} AND {engaged} >= {f.least_in_aluminium} THEN {f.least_in_aluminium}"
        f" WHEN {on} AND {engaged} >= {f.least_engagement} THEN NULL ELSE {f.least_engagement} END)"
    )
    worst = most(
        least(
            f"{reach} - w.tolerance_mm - s.tolerance_mm",
            f"{depth} - (CASE WHEN {on} THEN s.tolerance_mm ELSE {a.tolerance_mm} END)",
        ),
        "0",
    )
    section = "(t.section_base + 0.4 * 25.4 * w.width_in)"
    half = most(f"{section} / 2", "w.width_in * 12.7 + 13")
    growth = f"(t.width_tol / 2 + t.width_growth / 2 * {section})"
    place = f"({a.tolerance_mm} + w.tolerance_mm + s.tolerance_mm)"
    position = f"{place} + {most(f'{section} / 2 + {growth}', half)} - {half}"
    inner, outer = (
        f"({a.original_inner} + {half} + w.offset_mm)",
        f"({half} - w.offset_mm - {a.original_outer})",
    )
    wider = most(f"({inner} + {outer}) / 2 + abs(s.thickness_mm + ({outer} - {inner}) / 2)", "0")
    higher = most(f"(t.diameter - {a.original_diameter}) / 2", "0")
    ratio, high = f"(t.diameter / {a.original_diameter})", 1 + a.speedometer_reads_high_pct / 100
    shown = [
        least(f"{v * high} / {ratio} - {v}", f"{1.1 * v + 4} - {v * high} / {ratio}")
        for v in r39_speeds_kmh(a.max_speed_kmh)
    ]
    track = f"(2 * ({a.original_offset} - w.offset_mm + s.thickness_mm) * 100 / {a.original_track_mm})"
    narrow, usual = (
        min(a.track_change_limit_pct, NARROWING_LIMIT_PCT),
        min(a.track_change_usual_pct, NARROWING_USUAL_PCT),
    )
    parts = "w.tolerance_mm + s.tolerance_mm"
    preload = a.torque_nm / (a.nut_factor * f.diameter / 1000)
    return {
        "bolt_circle": [
            (f"CASE WHEN w.bolt_count <> {a.bolt_count} THEN -1 ELSE 1 END", "0"),
            (f"0.1 - abs(w.bolt_circle_mm - {a.bolt_circle_mm})", "0"),
        ],
        "centre_bore": [
            (f"w.bore_mm - {a.spigot_diameter_mm}", "0"),
            (f"CASE WHEN s.kind = 0 THEN 1e9 ELSE s.bore_mm - {a.spigot_diameter_mm} END", "0"),
        ],
        "spigot_engagement": [
            (
                f"(CASE WHEN {own} > 0 THEN {own} ELSE {a.spigot_height_mm} - s.thickness_mm END) - 3",
                f"CASE WHEN {own} > 0 THEN s.tolerance_mm ELSE {a.tolerance_mm} + s.tolerance_mm END",
            )
        ],
        "spacer_kind": [
            ("CASE s.kind WHEN 0 THEN 0 WHEN 2 THEN s.thickness_mm - 20 ELSE s.thickness_mm - 3 END", "0"),
            ("CASE WHEN s.kind = 1 THEN 25 - s.thickness_mm ELSE 0 END", "0"),
            (
                f"CASE WHEN {own} > 0 THEN s.thickness_mm - {a.spigot_height_mm} ELSE 0 END",
                f"CASE WHEN {own} > 0 THEN {a.tolerance_mm} + s.tolerance_mm ELSE 0 END",
            ),
        ],
        "seat": [("w.seat - w.seat", "0")],
        "fastener_length": [(f"3 - abs({needed} - {needed})", parts)],
        "thread_engagement": [(f"{engaged} - {wanted}", f"{engaged} - {worst}")],
        "fastener_protrusion": [
            (
                f"(CASE WHEN {on} THEN 0 ELSE {a.free_depth_behind_hub_mm} END)"
                f" - ({reach} - (CASE WHEN {on} THEN s.thickness_mm ELSE {a.hub_thread_mm} END))",
                f"(CASE WHEN {on} THEN 0 ELSE {2 * a.tolerance_mm} END) + {parts}",
            )
        ],
        "brake_clearance": [
            (f"g.gap - {a.required_brake_clearance_mm} - w.fitted_inside_mm", f"{place} + w.inside_doubt_mm")
        ],
        "inboard_clearance": [
            (
                f"-{half} - w.offset_mm - ({a.strut_face_mm}) - {a.required_inboard_clearance_mm}"
                " + s.thickness_mm",
                position,
            )
        ],
        "outboard_position": [
            (f"{a.arch_lip_mm - a.required_cover_mm} - ({half} - w.offset_mm) - s.thickness_mm", position)
        ],
        "wheel_cover": [
            (f"{a.arch_lip_mm} - ({section} / 2 - w.offset_mm) - s.thickness_mm", f"{place} + {growth}")
        ],
        "lock_sweep": [(f"0 * ({higher} + {wider})", f"{higher} + {wider}")] if a.steered else [],
        "arch_diameter": [
            (
                f"{a.arch_diameter_mm - 2 * a.suspension_travel_mm} - t.diameter",
                f"{a.tolerance_mm} + t.diameter_tol",
            )
        ],
        "tyre_rim_width": [
            ("CASE WHEN w.diameter_in <> t.rim_code THEN -1 ELSE 1 END", "0"),
            ("w.width_in - t.rim_min", "0"),
            ("t.rim_max - w.width_in", "0"),
        ],
        "tyre_load": [(f"2 * t.load_ - {a.axle_load_kg}", "0")],
        "tyre_speed": [(f"t.top_speed - {a.max_speed_kmh}", "0")],
        "wheel_load": [(f"w.load_rating_kg - {a.axle_load_kg / 2}", "0")],
        "speedometer": [(least(*shown), "0")],
        "track_change": [
            (
                f"CASE WHEN {track} < -{EPSILON} THEN {narrow} + {track}"
                f" ELSE {a.track_change_limit_pct} - {track} END",
                f"CASE WHEN {track} < -{EPSILON} THEN {narrow - usual}"
                f" ELSE {max(a.track_change_limit_pct - a.track_change_usual_pct, 0.0)} END",
            )
        ],
        "clamp_load": [
            (str(f.proof_load - preload), str(preload / 3)),
            (str(preload - LEAST_CLAMP_SHARE * f.proof_load), str(preload / 5)),
        ],
    }


def create_and_fill(name: str, columns: list[str]) -> tuple[str, str]:
    """Return the statements that make a table and put one row into it."""
    safe = [_safe(column) for column in columns]
    create = f"CREATE TEMPORARY TABLE {name} (id integer, {', '.join(f'{c} double precision' for c in safe)})"
    return create, f"INSERT INTO {name} VALUES (?{', ?' * len(columns)})"


def _safe(column: str) -> str:
    return f"{column}_" if column == "load" else column


def query(axle: Axle, *, sqlite: bool) -> str:
    """Return one SELECT that counts the combinations by key, as `GridResult` defines it."""
    margins = _margins(axle, sqlite)
    rows = [(name, f"{name}_{i}", *row) for name, parts in margins.items() for i, row in enumerate(parts)]
    columns = ", ".join(f"{margin} AS m_{n}, {tolerance} AS t_{n}" for _, n, margin, tolerance in rows)
    keys = [
        f"(CASE WHEN m_{n} IS NULL THEN 2 WHEN m_{n} < -{EPSILON} THEN 3"
        f" WHEN m_{n} < t_{n} - {EPSILON} THEN 1 ELSE 0 END) * 32 + {31 - CHECK_IDS.index(check)}"
        for check, n, _, _ in rows
    ]
    return (
        f"SELECT {_most(sqlite, *keys)} AS key, count(*) FROM (SELECT {columns} FROM w CROSS JOIN t"
        f" CROSS JOIN s JOIN g ON g.w = w.id AND g.s = s.id) AS rows GROUP BY 1"
    )
