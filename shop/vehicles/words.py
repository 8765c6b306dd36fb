"""Words of vehicles and their axles."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

POSITIONS = {"front": _("front axle"), "rear": _("rear axle")}
STYLES = {"van": _("van"), "pickup": _("pickup"), "car": _("car"), "motorcycle": _("motorcycle")}
