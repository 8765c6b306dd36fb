"""The picture of a job's vehicle, drawn to scale from the selection that was frozen.

Only the drawing asks the catalogue of today; where that no longer knows a part there is no picture.
"""

from __future__ import annotations

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from configurator.builds.looks import look_of
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.catalogue.snapshot import Catalogue
from configurator.models import SpecRevision
from configurator.pages.drawing import said_of
from configurator.pictures import Scene, scene, to_png, to_svg

WIDTH_PX = 1104


def scene_of(revision: SpecRevision, catalogue: Catalogue | None = None) -> Scene | None:
    """Return the side view, or ``None`` when the vehicle cannot be drawn."""
    selection = Selection.model_validate(revision.selection)
    found = look_of(selection, catalogue or snapshot.current())
    return scene(*found, "side") if found else None


def svg_of(revision: SpecRevision) -> SafeString | None:
    """Return the side view as inline SVG."""
    catalogue = snapshot.current()
    view = scene_of(revision, catalogue)
    if view is None:
        return None
    said = said_of(Selection.model_validate(revision.selection), catalogue)
    # Our own drawing: its writer escapes every text.
    return mark_safe(to_svg(view, _("Side view"), said, prefix="job"))  # noqa: S308


VIEWS = {"left": "side", "right": "side", "front": "front", "rear": "rear"}
"""Which drawing shows a side of the vehicle; the right one is the left one mirrored."""


def view_of(revision: SpecRevision, side: str) -> SafeString | None:
    """Return one view of the vehicle as inline SVG, or ``None`` when it cannot be drawn."""
    catalogue = snapshot.current()
    selection = Selection.model_validate(revision.selection)
    found = look_of(selection, catalogue)
    if found is None:
        return None
    drawn = scene(*found, VIEWS[side])
    # Our own drawing: its writer escapes every text.
    return mark_safe(to_svg(drawn, _("The vehicle"), said_of(selection, catalogue), prefix="view"))  # noqa: S308


def png_of(revision: SpecRevision) -> bytes | None:
    """Return the side view as PNG."""
    view = scene_of(revision)
    return to_png(view, WIDTH_PX) if view else None
