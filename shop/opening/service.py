"""What changes the site's settings: a step saved or undone, the shop opened and closed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models.fields.files import FieldFile
from django.utils import timezone

from configurator.catalogue import own_workshop
from configurator.catalogue.models import Workshop
from configurator.pictures.logo import Logo

from .models import SettingChange, SiteState

ONE = 1
OPENED, CLOSED = "opened", "closed"


class NotReadyError(Exception):
    """Customers cannot be let in yet: something is missing that they would trip over."""


def state() -> SiteState | None:
    """Return the site's state, or nothing where it was never set up by these pages."""
    return SiteState.objects.filter(pk=ONE).first()


@transaction.atomic
def begin() -> SiteState:
    """Return the site's state; a site that has none yet is closed until it is opened by its button."""
    own_workshop.begin()
    found, _made = SiteState.objects.get_or_create(pk=ONE)
    return found


def _locked() -> SiteState:
    """Return the state under its lock; on a site that was running without one, it is open from the start."""
    now = timezone.now()
    SiteState.objects.get_or_create(pk=ONE, defaults={"opened_at": now, "first_opened_at": now})
    return SiteState.objects.select_for_update().get(pk=ONE)


@transaction.atomic
def save_workshop(
    step: str, values: Mapping[str, Any], texts: Texts, *, by: str, checked: bool = True
) -> None:
    """Store fields of the workshop, with their translations, as one step of setting up."""
    locked = _locked()
    workshop = own_workshop.begin()
    before = {name: _plain(getattr(workshop, name)) for name in values}
    said = {f: {code: own_workshop.translation(f, code) for code in by_code} for f, by_code in texts.items()}
    note = f"{by}: workshop, {step}"
    own_workshop.change(values, note=note)
    for field, by_code in texts.items():
        own_workshop.translate(field, by_code, note=note)
    _confirm(locked, step, by, checked)
    after = {name: _plain(value) for name, value in values.items()}
    _note(step, by, {"workshop": before, "texts": said}, {"workshop": after, "texts": texts})


Texts = Mapping[str, Mapping[str, str]]
"""Translations of the workshop's texts: by field, then by language."""


@transaction.atomic
def save_state(step: str, values: Mapping[str, Any], *, by: str) -> None:
    """Store fields of the site's own state as one step: languages, accent."""
    locked = _locked()
    before = {name: _name_of(getattr(locked, name)) for name in values}
    for name, value in values.items():
        setattr(locked, name, value)
    _confirm(locked, step, by)
    _note(step, by, {"state": before}, {"state": dict(values)})


@transaction.atomic
def save_logo(logo: Logo | None, *, by: str) -> None:
    """Store a new logo, or take the one there is away; the file before stays, so that this can be undone."""
    locked = _locked()
    before = _logo_of(locked)
    if logo is None:
        locked.logo, locked.logo_width_px, locked.logo_height_px = "", 0, 0
    else:
        locked.logo.save("logo.png", ContentFile(logo.png), save=False)
        locked.logo_width_px, locked.logo_height_px = logo.width, logo.height
    _confirm(locked, "look", by)
    _note("look", by, {"state": before}, {"state": _logo_of(locked)})


def _logo_of(row: SiteState) -> dict[str, Any]:
    return {
        "logo": row.logo.name or "",
        "logo_width_px": row.logo_width_px,
        "logo_height_px": row.logo_height_px,
    }


@transaction.atomic
def note_borrowed() -> None:
    """Note that the goods, and what they cost, are the demonstration's: somebody has to look at them."""
    row = _locked()
    row.borrowed_at = timezone.now()
    row.confirmed.pop("catalogue", None)
    row.save()


@transaction.atomic
def confirm(step: str, *, by: str) -> None:
    """Note that somebody has looked at a step and left it as it is."""
    _confirm(_locked(), step, by)


def _confirm(row: SiteState, step: str, by: str, checked: bool = True) -> None:
    if checked:
        row.confirmed[step] = {"by": by, "at": timezone.now().isoformat()}
    else:
        row.confirmed.pop(step, None)
    row.save()


def _note(step: str, by: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> None:
    if before != after:
        SettingChange.objects.create(step=step, by=by, before=before, after=after)


@transaction.atomic
def put_back(change_id: int, *, by: str) -> SettingChange:
    """Set what a change set back to what stood there before it; that is a change of its own.

    Raises SettingChange.DoesNotExist.
    """
    change = SettingChange.objects.get(pk=change_id)
    if "workshop" in change.before:
        fields = {name: _typed(name, value) for name, value in change.before["workshop"].items()}
        save_workshop(change.step, fields, change.before.get("texts", {}), by=by)
    if "state" in change.before:
        save_state(change.step, change.before["state"], by=by)
    return change


@transaction.atomic
def open_site(*, by: str, missing: Iterable[str] = ()) -> None:
    """Let customers in; pressed twice, it is open since the first time. Raises NotReadyError."""
    if names := list(missing):
        raise NotReadyError(", ".join(names))
    locked = _locked()
    if locked.opened_at is None:
        locked.opened_at = timezone.now()
        locked.first_opened_at = locked.first_opened_at or locked.opened_at
        locked.save()
        SettingChange.objects.create(step=OPENED, by=by)


@transaction.atomic
def close_site(*, by: str) -> None:
    """Close to customers again; what they have sent and their jobs' pages stay as they are."""
    locked = _locked()
    if locked.opened_at is not None:
        locked.opened_at = None
        locked.save()
        SettingChange.objects.create(step=CLOSED, by=by)


def _name_of(value: Any) -> Any:
    return value.name or "" if isinstance(value, FieldFile) else value


def _plain(value: Any) -> Any:
    return str(value) if isinstance(value, Decimal | date) else value


def _typed(name: str, value: Any) -> Any:
    return Workshop._meta.get_field(name).to_python(value)  # type: ignore[union-attr]
