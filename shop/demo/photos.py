"""Photos of the demonstration: the product's own drawings of a vehicle, standing in a yard or in the bay."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageDraw, ImageFilter

from configurator.builds.looks import body_of, look_of
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.pictures import scene, to_image

SIZE_PX = (800, 560)
GROUND_PX = 450
YARD = ("#b9c7cf", "#7d8378")
BAY = ("#d9d6cd", "#8f8c86")


@lru_cache(maxsize=2)
def _place(wall: str, floor: str) -> Image.Image:
    """Return a wall and a floor with joints, a little out of focus as behind a vehicle."""
    image = Image.new("RGB", SIZE_PX, wall)
    draw = ImageDraw.Draw(image)
    width, height = SIZE_PX
    horizon = GROUND_PX - 130
    draw.rectangle((0, horizon, width, height), fill=floor)
    for x in range(-400, width + 400, 160):
        draw.line((width / 2 + (x - width / 2) * 0.5, horizon, x, height), fill=wall, width=2)
    for x in range(60, width, 220):
        draw.rectangle((x, 60, x + 110, horizon - 30), outline=floor, width=4)
    return image.filter(ImageFilter.GaussianBlur(2))


def photo_of(selection: Selection, *, view: str = "side", as_it_came: bool = False) -> bytes:
    """Return a JPEG of the vehicle as built, or as it came to the customer; an empty place if undrawn."""
    catalogue = snapshot.current()
    image = _place(*(YARD if as_it_came else BAY)).copy()
    drawn = look_of(selection, catalogue)
    if as_it_came:
        body, paint = (
            body_of(selection.generation, catalogue),
            catalogue.finishes.get(selection.body_finish or ""),
        )
        drawn = (body, body.original_look(paint.hex if paint else "#8a8f94")) if body else None
    if drawn:
        vehicle = to_image(scene(*drawn, view), 640 if view == "side" else 360)
        vehicle.thumbnail((740, 400), Image.Resampling.LANCZOS)
        place = ((SIZE_PX[0] - vehicle.width) // 2, GROUND_PX - vehicle.height)
        image.paste(vehicle, place, vehicle if vehicle.mode == "RGBA" else None)
    out = BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()
