"""What people call the fields of a ready-made look."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

LOOK_FIELDS: dict[str, Any] = {
    "accent": _("Accent colour"),
    "accent_wanted_hex": _("Accent colour of its own"),
    "accent_way": _("What is done about a colour of its own"),
    "body_finish": _("Body colour that it is shown in"),
    "finishes": _("Finishes of its options"),
    "front_spacer": _("Spacer, front"),
    "front_tyre": _("Tyre, front"),
    "front_wheel": _("Wheel, front"),
    "options": _("What it chooses"),
    "rear_spacer": _("Spacer, rear"),
    "rear_tyre": _("Tyre, rear"),
    "rear_wheel": _("Wheel, rear"),
}
