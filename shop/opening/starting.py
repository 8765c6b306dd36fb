"""Setting up from nothing: the state, the first manager, the demonstration's catalogue without names."""

from __future__ import annotations

import tempfile
from pathlib import Path

from django.contrib.auth.models import User
from django.db import transaction

from configurator.catalogue import loader, own_workshop
from configurator.catalogue.models import Generation, Item, Workshop
from configurator.catalogue.rows import WorkshopRow
from shop.accounts.service import invite
from shop.jobs.states import MANAGER

from . import nameless, samples, service

# What the files must hold so that they load; the workshop's own record is put back afterwards.
STAND_IN = {
    "name": "-", "street": "-", "postcode": "-", "town": "-", "email": "nobody@none.example", "phone": "-",
    "tax_rate_pct": 0, "labour_rate_per_h": 0, "iban": "DE89370400440532013000", "terms_version": "1",
}  # fmt: skip


class HasCatalogueError(Exception):
    """There are goods or vehicles already, which a start from the demonstration would mix with its own."""


def first_manager(name: str, email: str) -> User | None:
    """Invite the first manager and return them; nothing where there is one already."""
    if User.objects.filter(is_active=True, groups__name=MANAGER).exists():
        return None
    return invite(name=name, email=email, roles=[MANAGER])


@transaction.atomic
def from_demonstration() -> loader.Loaded:
    """Load the demonstration's catalogue without its names; the workshop's own record stays as it is.

    Raises HasCatalogueError.
    """
    service.begin()
    if Item.objects.exists() or Generation.objects.exists():
        raise HasCatalogueError
    workshop = Workshop.objects.get()
    before = {name: getattr(workshop, name) for name in WorkshopRow.model_fields}
    with tempfile.TemporaryDirectory() as folder:
        nameless.write(samples.FOLDER, Path(folder) / "catalogue", STAND_IN)
        done = loader.load(Path(folder) / "catalogue")
    service.note_borrowed()
    own_workshop.change(before, note="begun with the demonstration’s catalogue, without its names")
    return done
