"""A price list taken back: its rows set back in batches, so that fifty thousand take a minute and not a day.

The catalogue's own way back (`configurator.catalogue.amending.take_back`) judges every row anew, which rules
and recipes need and prices do not.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import islice
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import ProtectedError
from django.utils.translation import gettext as _

from configurator.catalogue import amending
from configurator.catalogue.going_live import NotLiveError, release_of
from configurator.catalogue.history import Change, Origin
from configurator.catalogue.models import CatalogueVersion, Item
from configurator.catalogue.models_changes import Release, RowChange
from configurator.catalogue.overlay import Flaw
from configurator.outbox.handlers import PLANS, handles
from configurator.outbox.service import promise

from .list_applying import used
from .progress import noted

BATCH, MOST_TOLD, AT_ONCE = 500, 50, 2000
KIND = "price list back"
AMOUNTS = ("unit_cost", "unit_price")


def take_back(*, release_id: int, by: Any) -> tuple[Release | None, bool]:
    """Put back what a version changed; return the new version, and whether it is still being made.

    A long price list is taken back beside the request, after it was seen that nothing stands against it.
    Raises `NotLiveError`, and then nothing is changed.
    """
    release = Release.objects.get(pk=release_id)
    if release.origin != Origin.PRICE_LIST:
        return amending.take_back(release_id=release_id, by=by), False
    if release.changes.count() <= AT_ONCE:
        return take_list_back(release_id=release_id, by=by), False
    _check(release)
    newest = CatalogueVersion.objects.first()
    key = f"{KIND}:{release.pk}:{newest.pk if newest else 0}"
    promise(kind=KIND, key=key, payload={"release": release.pk, "by": by.pk if by else None})
    return None, True


@handles(KIND, queue=PLANS)
def take_promised_list_back(payload: dict[str, Any]) -> None:
    """Take a long list back as promised; run again it finds nothing to do."""
    by = User.objects.filter(pk=payload["by"]).first()
    take_list_back(release_id=payload["release"], by=by)


@transaction.atomic
def take_list_back(*, release_id: int, by: Any) -> Release | None:
    """Set costs, prices and what is offered back to what they were; what the list added goes."""
    release = Release.objects.get(pk=release_id)
    CatalogueVersion.objects.select_for_update().first()
    _check(release)
    done, count = 0, release.changes.count()
    for batch in _batches(release):
        _set_back(batch)
        done += len(batch)
        noted(KIND, release.pk, done, count)
    return release_of(origin=Origin.BACK, changes=_undone(release), by=by, takes_back=release)


def _batches(release: Release) -> Iterator[list[RowChange]]:
    rows = release.changes.order_by("pk").iterator(chunk_size=BATCH)
    while batch := list(islice(rows, BATCH)):
        yield batch


def _check(release: Release) -> None:
    """Raise NotLiveError naming what was changed again since, or is needed by now."""
    found: list[Flaw] = []
    for batch in _batches(release):
        found += _apart(batch)
        if len(found) >= MOST_TOLD:
            break
    if found:
        raise NotLiveError(set(found[:MOST_TOLD]))


def _apart(batch: list[RowChange]) -> Iterator[Flaw]:
    items = Item.objects.in_bulk([one.key for one in batch], field_name="code")
    needed = used([one.key for one in batch if one.before is None])
    for one in batch:
        item, after = items.get(one.key), one.after or {}
        if one.before is None and one.key in needed:
            yield Flaw(one.kind, one.key, "", _("Recipes, options or rules need it by now."))
        gone = item is None and one.before is not None
        if gone or (item is not None and not _is_either(item, one.before or {}, after)):
            message = _("This was changed again since; look at its history and change it by hand.")
            yield Flaw(one.kind, one.key, "", message)


def _is_either(item: Item, before: dict[str, Any], after: dict[str, Any]) -> bool:
    """Whether every field that was changed says what the list said, or again what it was before."""
    return all(
        getattr(item, name) in (_typed(name, after[name]), _typed(name, before.get(name)))
        for name in (*AMOUNTS, "retired")
        if name in after
    )


def _typed(name: str, value: Any) -> Any:
    return Decimal(value) if name in AMOUNTS and value not in (None, "") else value


def _set_back(batch: list[RowChange]) -> None:
    items = Item.objects.in_bulk([one.key for one in batch], field_name="code")
    changed = []
    for one in batch:
        item = items.get(one.key)
        if one.before is None or item is None:
            continue
        for name, value in one.before.items():
            setattr(item, name, _typed(name, value))
        changed.append(item)
    Item.objects.bulk_update(changed, [*AMOUNTS, "retired"], batch_size=BATCH)
    added = [one for one in batch if one.before is None]
    try:
        Item.objects.filter(code__in=[one.key for one in added]).delete()
    except ProtectedError as error:
        message = _("Recipes, options or rules need it by now.")
        kept = {str(getattr(row, "item", "")) for row in error.protected_objects}
        raise NotLiveError({Flaw("items", ", ".join(sorted(kept)), "", message)}) from error


def _undone(release: Release) -> Iterator[Change]:
    """Yield the changes the other way round, for the history."""
    for batch in _batches(release):
        for one in batch:
            yield one.kind, one.key, one.after, one.before
