"""The picture of a job's vehicle, drawn from what was frozen."""

from __future__ import annotations

from django.utils.safestring import SafeString

from configurator.models import SpecRevision


def svg_of(revision: SpecRevision) -> SafeString | None:
    """Return the side view as inline SVG, or ``None`` when it cannot be drawn."""
    return None


def png_of(revision: SpecRevision) -> bytes | None:
    """Return the side view as PNG, or ``None`` when it cannot be drawn."""
    return None
