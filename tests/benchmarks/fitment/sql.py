"""The same inequalities as one SQL query, for SQLite and PostgreSQL, over the same rows.

The database is spared the polylines: the brake's gap per wheel and spacer is handed to it in a table.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np

from configurator.fitment import Axle, Catalogue
from configurator.fitment.arithmetic import EPSILON
from configurator.fitment.checks import CHECK_IDS
from configurator.fitment.columns import axle_numbers, fastener_numbers, tyre_columns
from configurator.fitment.defaults import LEAST_CLAMP_SHARE, NARROWING_LIMIT_PCT, NARROWING_USUAL_PCT
from configurator.fitment.formulas_rating import r39_speeds_kmh
from configurator.fitment.profile import clearance_mm

WHEEL = [
    "width_in",
    "diameter_in",
    "offset",
    "bolt_count",
    "bolt_circle",
    "bore",
    "seat",
    "seat_thickness",
    "load_rating",
    "fitted_inside",
    "inside_doubt",
    "tol",
]
TYRE = ["section_base", "diameter", "rim_code", "rim_min", "rim_max", "top_speed", "load"]
TYRE += ["width_growth", "width_tol", "diameter_tol"]
SPACER = ["thickness", "kind", "bore", "spigot_height", "tol"]


def _columns(table: Any, names: list[str], size: int) -> list[tuple[Any, ...]]:
    columns = [np.broadcast_to(np.ravel(getattr(table, name)), size).tolist() for name in names]
    return [(i, *(None if v != v else v for v in row)) for i, row in enumerate(zip(*columns, strict=True))]


def tables(axle: Axle, catalogue: Catalogue) -> Iterator[tuple[str, list[str], list[tuple[Any, ...]]]]:
    """Yield each table's name, columns and rows; the gap table is the axle's own."""
    n_wheels, n_tyres, n_spacers = catalogue.shape
    yield "w", WHEEL, _columns(catalogue.wheels, WHEEL, n_wheels)
    yield "t", TYRE, _columns(tyre_columns(catalogue.tyres, axle), TYRE, n_tyres)
    yield "s", SPACER, _columns(catalogue.spacers, SPACER, n_spacers)
    gap = clearance_mm(catalogue.wheels.profile, axle_numbers(axle).brake, catalogue.spacers.thickness)
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

    own, on = "coalesce(s.spigot_height, 0)", "s.kind = 2"
    through = f"(CASE WHEN {on} THEN 0 ELSE s.thickness END)"
    needed = f"({a.original_shank} + {through} + w.seat_thickness - {a.original_seat_thickness})"
    reach = f"({needed} - w.seat_thickness - {through})"
    depth = f"(CASE WHEN {on} THEN s.thickness ELSE {a.hub_thread} END)"
    engaged = most(least(reach, depth), "0")
    # What the spacers' threads are cut in is not known.
    wanted = (
        f"(CASE WHEN {on} AND {engaged} >= {f.least_in_aluminium} THEN {f.least_in_aluminium}"
        f" WHEN {on} AND {engaged} >= {f.least_engagement} THEN NULL ELSE {f.least_engagement} END)"
    )
    worst = most(
        least(f"{reach} - w.tol - s.tol", f"{depth} - (CASE WHEN {on} THEN s.tol ELSE {a.tol} END)"), "0"
    )
    section = "(t.section_base + 0.4 * 25.4 * w.width_in)"
    half = most(f"{section} / 2", "w.width_in * 12.7 + 13")
    growth = f"(t.width_tol / 2 + t.width_growth / 2 * {section})"
    place = f"({a.tol} + w.tol + s.tol)"
    position = f"{place} + {most(f'{section} / 2 + {growth}', half)} - {half}"
    inner, outer = f"({a.original_inner} + {half} + w.offset_)", f"({half} - w.offset_ - {a.original_outer})"
    wider = most(f"({inner} + {outer}) / 2 + abs(s.thickness + ({outer} - {inner}) / 2)", "0")
    higher = most(f"(t.diameter - {a.original_diameter}) / 2", "0")
    ratio, high = f"(t.diameter / {a.original_diameter})", 1 + a.reads_high / 100
    shown = [
        least(f"{v * high} / {ratio} - {v}", f"{1.1 * v + 4} - {v * high} / {ratio}")
        for v in r39_speeds_kmh(a.max_speed)
    ]
    track = f"(2 * ({a.original_offset} - w.offset_ + s.thickness) * 100 / {a.track})"
    narrow, usual = min(a.track_limit, NARROWING_LIMIT_PCT), min(a.track_usual, NARROWING_USUAL_PCT)
    parts = "w.tol + s.tol"
    preload = a.torque / (a.nut_factor * f.diameter / 1000)
    return {
        "bolt_circle": [
            (f"CASE WHEN w.bolt_count <> {a.bolt_count} THEN -1 ELSE 1 END", "0"),
            (f"0.1 - abs(w.bolt_circle - {a.bolt_circle})", "0"),
        ],
        "centre_bore": [
            (f"w.bore - {a.spigot_diameter}", "0"),
            (f"CASE WHEN s.kind = 0 THEN 1e9 ELSE s.bore - {a.spigot_diameter} END", "0"),
        ],
        "spigot_engagement": [
            (
                f"(CASE WHEN {own} > 0 THEN {own} ELSE {a.spigot_height} - s.thickness END) - 3",
                f"CASE WHEN {own} > 0 THEN s.tol ELSE {a.tol} + s.tol END",
            )
        ],
        "spacer_kind": [
            ("CASE s.kind WHEN 0 THEN 0 WHEN 2 THEN s.thickness - 20 ELSE s.thickness - 3 END", "0"),
            ("CASE WHEN s.kind = 1 THEN 25 - s.thickness ELSE 0 END", "0"),
            (
                f"CASE WHEN {own} > 0 THEN s.thickness - {a.spigot_height} ELSE 0 END",
                f"CASE WHEN {own} > 0 THEN {a.tol} + s.tol ELSE 0 END",
            ),
        ],
        "seat": [("w.seat - w.seat", "0")],
        "fastener_length": [(f"3 - abs({needed} - {needed})", parts)],
        "thread_engagement": [(f"{engaged} - {wanted}", f"{engaged} - {worst}")],
        "fastener_protrusion": [
            (
                f"(CASE WHEN {on} THEN 0 ELSE {a.free_depth} END)"
                f" - ({reach} - (CASE WHEN {on} THEN s.thickness ELSE {a.hub_thread} END))",
                f"(CASE WHEN {on} THEN 0 ELSE {2 * a.tol} END) + {parts}",
            )
        ],
        "brake_clearance": [(f"g.gap - {a.brake_clearance} - w.fitted_inside", f"{place} + w.inside_doubt")],
        "inboard_clearance": [
            (
                f"-{half} - w.offset_ - ({a.strut_face}) - {a.inboard_clearance} + s.thickness",
                position,
            )
        ],
        "outboard_position": [
            (f"{a.arch_lip - a.required_cover} - ({half} - w.offset_) - s.thickness", position)
        ],
        "wheel_cover": [(f"{a.arch_lip} - ({section} / 2 - w.offset_) - s.thickness", f"{place} + {growth}")],
        "lock_sweep": [(f"0 * ({higher} + {wider})", f"{higher} + {wider}")] if a.steered else [],
        "arch_diameter": [(f"{a.arch_diameter - 2 * a.travel} - t.diameter", f"{a.tol} + t.diameter_tol")],
        "tyre_rim_width": [
            ("CASE WHEN w.diameter_in <> t.rim_code THEN -1 ELSE 1 END", "0"),
            ("w.width_in - t.rim_min", "0"),
            ("t.rim_max - w.width_in", "0"),
        ],
        "tyre_load": [(f"2 * t.load_ - {a.load}", "0")],
        "tyre_speed": [(f"t.top_speed - {a.max_speed}", "0")],
        "wheel_load": [(f"w.load_rating - {a.load / 2}", "0")],
        "speedometer": [(least(*shown), "0")],
        "track_change": [
            (
                f"CASE WHEN {track} < -{EPSILON} THEN {narrow} + {track} ELSE {a.track_limit} - {track} END",
                f"CASE WHEN {track} < -{EPSILON} THEN {narrow - usual}"
                f" ELSE {max(a.track_limit - a.track_usual, 0.0)} END",
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
    return f"{column}_" if column in ("offset", "load") else column


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
