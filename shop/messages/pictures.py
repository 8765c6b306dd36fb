"""The picture of a vehicle inside a mail."""

from __future__ import annotations

from email.mime.image import MIMEImage

from configurator.models import SpecRevision
from shop.jobs.vehicle import png_of

CONTENT_ID = "vehicle"


def inline_picture(revision: SpecRevision) -> MIMEImage | None:
    """Return the vehicle of a revision as an inline PNG, or ``None`` when it cannot be drawn."""
    data = png_of(revision)
    if data is None:
        return None
    image = MIMEImage(data, "png")
    image.add_header("Content-ID", f"<{CONTENT_ID}>")
    image.add_header("Content-Disposition", "inline", filename="vehicle.png")
    return image
