"""Bolt threads: engaged length, ISO 898-1 proof loads, and torque to preload."""

import math

from .names import split_thread
from .tables import inch_threads, proof_stresses, threads

NAN = float("nan")


def stress_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    """Nominal stress area pi/4 (d - 0.9382 p)^2 (ISO 898-1:2013 9.1.6.1, from memory)."""
    return math.pi / 4 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def proof_load_n(thread: str | None, property_class: str | None) -> float:
    """Proof load in N: the standard's rounded figure where it tables the thread, else stress times area."""
    if thread is None or property_class is None:
        return NAN
    size = split_thread(thread)
    row = threads().get(size)
    if row and property_class in row.proof_load_n:
        return row.proof_load_n[property_class]
    small, large = proof_stresses()[property_class]
    inch = {(d, pitch): area for d, pitch, area in inch_threads().values()}
    area = row.stress_area_mm2 if row else inch.get(size) or stress_area_mm2(*size)
    return area * (small if size[0] <= 16 else large)


def least_engagement_mm(thread: str | None) -> float:
    """Least engaged length: the trade's number of turns for the thread, else 0.8 d (common practice)."""
    if thread is None:
        return NAN
    diameter, pitch = split_thread(thread)
    row = threads().get((diameter, pitch))
    return row.min_turns * pitch if row and row.min_turns else 0.8 * diameter


def preload_n(torque_nm: float, nut_factor: float, diameter_mm: float) -> float:
    """F = T / (K d), from T = K d F (handbook; Shigley, 9th ed., eq. 8-27)."""
    return torque_nm / (nut_factor * diameter_mm / 1000)
