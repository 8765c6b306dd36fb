"""What a customer does with a request: sends, proves the address, writes, withdraws; twice is once."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds import service as builds
from configurator.builds.models import Spec
from configurator.catalogue import snapshot
from shop.jobs.errors import UnmetError, WrongStateError
from shop.messages.models_news import News
from shop.messages.news import tell

from . import mailing
from .models import REQUEST_LINK, RequestEntry, VehicleRequest

State, Kind = VehicleRequest.State, RequestEntry.Kind
PROVED_WITHIN = timedelta(days=2)


@dataclass(frozen=True)
class Asked:
    """What somebody asks for, and how they are reached: by mail or by telephone."""

    maker: str
    model: str
    year: str
    wish: str
    name: str
    email: str
    phone: str


def draft_of(press: str, language: str) -> VehicleRequest:
    """Return the request that a form belongs to, made when its first photo comes."""
    found, _made = VehicleRequest.objects.get_or_create(press=press, defaults={"language": language})
    return found


@transaction.atomic
def send(
    *, press: str, asked: Asked, language: str, consent_text: str, must_prove: bool, noted_by: Any = None
) -> VehicleRequest:
    """Send what a form holds, or have it wait until the link in a mail was opened; sent again it is one.

    Put right while it waits, the newer words and address stand, and the link before opens nothing.
    """
    draft_of(press, language)
    row = VehicleRequest.objects.select_for_update().get(press=press)
    if row.state not in (State.DRAFT, State.UNPROVED):
        return row
    for name, value in asdict(asked).items():
        setattr(row, name, value)
    row.language, row.consent_text, row.noted_by = language, consent_text, noted_by
    row.made_at = timezone.now()
    if must_prove:
        REQUEST_LINK.renew(row)
        _move(row, State.UNPROVED)
        mailing.write(row, "confirm", occasion=row.nonce)
    else:
        _arrive(row)
    return row


@transaction.atomic
def prove(request_id: int) -> bool:
    """Send what waited for its address to be proved; return whether it did."""
    row = locked(request_id)
    if row.state != State.UNPROVED:
        return False
    _arrive(row)
    return True


def is_stale(row: VehicleRequest) -> bool:
    """Whether the address was not proved in time."""
    return row.state == State.UNPROVED and row.made_at < timezone.now() - PROVED_WITHIN


def _arrive(row: VehicleRequest) -> None:
    row.sent_at, row.asks_us = timezone.now(), True
    _move(row, State.OPEN)
    add(row, Kind.SENT, text=row.wish, by=row.noted_by, press=f"sent:{row.pk}")
    mailing.write(row, "received")
    if row.noted_by is None:
        tell(kind=News.Kind.ASKED, key=f"asked:{row.pk}:", request=row.pk, vehicle=row.vehicle)


@transaction.atomic
def write(*, request_id: int, text: str, press: str) -> bool:
    """Keep a word of the customer's and tell the workshop; a second press writes nothing."""
    row = locked(request_id)
    if row.state == State.WITHDRAWN:
        raise WrongStateError(_("You have withdrawn this request. You can ask anew at any time."))
    if not text.strip():
        raise UnmetError(_("Write something."), "text")
    entry, made = add(row, Kind.WORD, text=text.strip(), press=f"word:{press}"[:40])
    if made:
        row.asks_us = True
        row.save(update_fields=["asks_us"])
        key = f"asked:{row.pk}:{entry.pk}"
        tell(kind=News.Kind.ASKED, key=key, request=row.pk, vehicle=row.vehicle, wrote=True)
    return made


@transaction.atomic
def withdraw(request_id: int) -> bool:
    """Withdraw the request; nothing more comes of it."""
    row = locked(request_id)
    if row.state == State.WITHDRAWN:
        return False
    row.asks_us = False
    _move(row, State.WITHDRAWN)
    add(row, Kind.WITHDRAWN, press=f"withdrawn:{row.pk}")
    dealt_with(row)
    return True


def begin(row: VehicleRequest, *, language: str) -> Spec:
    """Begin a build of the vehicle that answers the request, with what was written carried over.

    Raises KeyError while it is not in the catalogue.
    """
    spec = builds.start_build(generation=row.generation, language=language)
    contact = {"name": row.name, "email": row.email, "phone": row.phone, "notes": row.wish}
    builds.keep_typed(spec_id=spec.pk, contact=contact)
    return spec


def can_begin(row: VehicleRequest) -> bool:
    """Whether the customer was told and the vehicle is still in the catalogue."""
    return row.state == State.READY and row.generation in snapshot.current().generations


def locked(request_id: int) -> VehicleRequest:
    """Return a request under its lock."""
    return VehicleRequest.objects.select_for_update().get(pk=request_id)


def add(
    row: VehicleRequest, kind: str, *, press: str, text: str = "", by: Any = None
) -> tuple[RequestEntry, bool]:
    """Write an entry, once a pressing; return it and whether it is new."""
    columns = {"request": row, "kind": kind, "text": text, "by": by}
    return RequestEntry.objects.get_or_create(press=press, defaults=columns)


def dealt_with(row: VehicleRequest) -> None:
    """Leave out of the day's mail what was dealt with before it."""
    waiting = News.objects.filter(key__startswith=f"asked:{row.pk}:", told_at=None)
    waiting.update(told_at=timezone.now())


def _move(row: VehicleRequest, state: str) -> None:
    row.state, row.state_since = state, timezone.now()
    row.save()
