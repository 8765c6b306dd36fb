"""The standards' tables, read once from the CSV files beside this module (source in each header)."""

import csv
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import NamedTuple

from .defaults import INCH_MM


def rows(name: str) -> list[dict[str, str]]:
    """Return a data file's rows, keyed by its header; lines that begin with # are its source."""
    text = files(__package__).joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@cache
def load_kg() -> MappingProxyType[int, float]:
    """Load in kg per tyre by load index."""
    return MappingProxyType({int(r["load_index"]): float(r["load_kg"]) for r in rows("load_index.csv")})


@cache
def speed_kmh() -> MappingProxyType[str, float]:
    """Speed in km/h by symbol, in rising order of speed (H stands between U and V)."""
    return MappingProxyType({r["symbol"]: float(r["max_speed_kmh"]) for r in rows("speed_symbol.csv")})


@cache
def speed_load_factors() -> MappingProxyType[tuple[str, str], tuple[tuple[float, float], ...]]:
    """By kind of tyre and symbol: (speed in km/h, share of the load index's load), rising."""
    found: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for row in rows("speed_load_factor.csv"):
        point = float(row["speed_kmh"]), float(row["load_pct"]) / 100
        found.setdefault((row["kind"], row["symbol"]), []).append(point)
    return MappingProxyType({key: tuple(points) for key, points in found.items()})


class RimCoefficients(NamedTuple):
    """Rim widths as shares of the nominal section width, for one band of aspect ratios."""

    theoretical: float
    measuring: float
    narrowest: float
    widest: float


@cache
def rim_coefficients() -> tuple[tuple[float, RimCoefficients], ...]:
    """(lowest aspect ratio of the band, its coefficients), falling."""

    return tuple(
        (
            float(r["aspect_from_pct"]),
            RimCoefficients(
                float(r["theoretical"]),
                float(r["measuring"]),
                float(r["narrowest"]),
                float(r["widest"]),
            ),
        )
        for r in rows("rim_coefficient.csv")
    )


@cache
def rim_diameter_mm() -> MappingProxyType[int, float]:
    """Nominal rim diameter d in mm by code."""
    return MappingProxyType({int(r["code"]): float(r["diameter_mm"]) for r in rows("rim_diameter.csv")})


class FullProfile(NamedTuple):
    """A printed table's row for a size without aspect ratio."""

    measuring_rim_in: float
    section_width_mm: float
    overall_diameter_mm: float


@cache
def full_profiles() -> MappingProxyType[str, FullProfile]:
    """Rows by size, written like `195R14C`."""
    return MappingProxyType(
        {
            r["size"]: FullProfile(
                float(r["measuring_rim_in"]), float(r["section_width_mm"]), float(r["overall_diameter_mm"])
            )
            for r in rows("full_profile.csv")
        }
    )


@cache
def growth() -> MappingProxyType[str, tuple[float, float]]:
    """Lawful growth by kind of tyre: share of the section width, share of twice the section height."""
    return MappingProxyType(
        {r["kind"]: (float(r["width_share"]), float(r["height_share"])) for r in rows("growth.csv")}
    )


@cache
def inch_threads() -> MappingProxyType[str, tuple[float, float, float]]:
    """(diameter, pitch, stress area) in mm and mm2 by unified thread, written like `1/2-20`."""
    return MappingProxyType(
        {
            r["thread"]: (
                float(r["d_in"]) * INCH_MM,
                INCH_MM / float(r["threads_per_in"]),
                float(r["stress_area_in2"]) * INCH_MM**2,
            )
            for r in rows("thread_inch.csv")
        }
    )


@cache
def proof_stresses() -> MappingProxyType[str, tuple[float, float]]:
    """Proof stress in MPa by property class: up to and including 16 mm, and above."""
    return MappingProxyType(
        {
            r["property_class"]: (float(r["up_to_16_mpa"]), float(r["above_16_mpa"]))
            for r in rows("proof_stress.csv")
        }
    )


class ThreadRow(NamedTuple):
    """What the tables hold for one thread; proof loads by property class, in N."""

    stress_area_mm2: float
    proof_load_n: MappingProxyType[str, float]
    min_turns: float | None


@cache
def threads() -> MappingProxyType[tuple[float, float], ThreadRow]:
    """Thread rows by (diameter, pitch) in mm."""
    return MappingProxyType(
        {
            (float(r["d_mm"]), float(r["pitch_mm"])): ThreadRow(
                float(r["stress_area_mm2"]),
                MappingProxyType(
                    {"8.8": float(r["proof_load_8_8_n"]), "10.9": float(r["proof_load_10_9_n"])}
                ),
                float(r["min_turns"]) if r["min_turns"] else None,
            )
            for r in rows("thread.csv")
        }
    )
