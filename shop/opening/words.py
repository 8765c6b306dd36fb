"""What was changed, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from .field_words import LABELS
from .models import SettingChange
from .service import CLOSED, OPENED
from .steps import BY_ID


@dataclass(frozen=True)
class Told:
    """One change as the page shows it."""

    change: SettingChange
    step: str
    what: str
    can_go_back: bool


def as_told(change: SettingChange) -> Told:
    """Return a change with its words."""
    names = {OPENED: _("Opened"), CLOSED: _("Closed")}
    step = names.get(change.step) or str(BY_ID[change.step].name)
    return Told(change, step, what_changed(change), bool(change.before))


def what_changed(change: SettingChange) -> str:
    """Return the names of the fields that a change set anew."""
    own = {"accent": _("Accent colour"), "logo": _("Logo"), "languages": _("Languages")}
    names = [own.get(name) or str(LABELS.get(name, "")) for name in _differing(change)]
    return ", ".join(dict.fromkeys(name for name in names if name))


def _differing(change: SettingChange) -> list[str]:
    found = []
    for part, before in change.before.items():
        after: dict[str, Any] = change.after.get(part, {})
        found += [name for name, value in before.items() if value != after.get(name)]
    return found
