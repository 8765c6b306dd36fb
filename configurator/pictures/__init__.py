"""The vehicle drawn to scale, from one scene description for page, mail and job sheet.

>>> body = Body.from_dict(json.loads(text))                                      # doctest: +SKIP
>>> view = scene(body, look, "side")                                             # doctest: +SKIP
>>> to_svg(view, "Side view", "Blue van on 18 inch wheels", prefix="side")        # doctest: +SKIP

`Body` is the drawing of a generation (see `body` for the file's keys), `Look` what a build makes of it,
`Scene` the shapes in millimetres. `vocabulary` lists the parts that a catalogue row may name, `wheels` the
wheel designs. `photos` cleans customers' uploads,
`deriving` begins a new body from one that is there. The picture shows; it never decides whether parts fit.
"""

from .body import Body, BodyError
from .deriving import derive
from .look import AxleLook, Look
from .measures import AxleMeasures, Measures, measures_of, nearest
from .png import share_card, sheet, to_image, to_png
from .scene import Scene, Shape, body_lift, scene
from .svg import to_svg
from .vocabulary import COLOURED, FITTED, PARTS, REMOVABLE, VIEWS
from .wheels import DESIGNS

__all__ = [
    "COLOURED",
    "DESIGNS",
    "FITTED",
    "PARTS",
    "REMOVABLE",
    "VIEWS",
    "AxleLook",
    "AxleMeasures",
    "Body",
    "BodyError",
    "Look",
    "Measures",
    "Scene",
    "Shape",
    "body_lift",
    "derive",
    "measures_of",
    "nearest",
    "scene",
    "share_card",
    "sheet",
    "to_image",
    "to_png",
    "to_svg",
]
