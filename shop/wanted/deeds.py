"""What staff do with a request. Each names the last entry it was decided on: of two at once, one is told."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.catalogue import snapshot
from shop.jobs.errors import StaleError, UnmetError, WrongStateError
from shop.messages.models_news import News

from . import mailing, photos
from .models import RequestEntry, VehicleRequest
from .service import add, dealt_with, locked

State, Kind = VehicleRequest.State, RequestEntry.Kind
SPOKEN_TO = (State.OPEN, State.TAKEN, State.READY, State.DECLINED)


def answer(*, request_id: int, text: str, seen: int, press: str, by: Any) -> bool:
    """Write to the customer by mail; their page shows it too."""
    if not text.strip():
        raise UnmetError(_("Write something."), "text")
    return _deed(request_id, Kind.ANSWER, seen, press, by, text=text, mail="answer", only=SPOKEN_TO)


def note_call(*, request_id: int, text: str, seen: int, press: str, by: Any) -> bool:
    """Note what was said on the telephone; the customer is not shown it."""
    if not text.strip():
        raise UnmetError(_("Note what was said."), "text")
    return _deed(request_id, Kind.CALL, seen, press, by, text=text)


def take_up(*, request_id: int, text: str, seen: int, press: str, by: Any) -> bool:
    """Take the vehicle up: it is entered, measured and drawn next; also what was declined before."""
    return _deed(
        request_id, Kind.TAKEN, seen, press, by, text=text, mail="taken", to=State.TAKEN,
        only=(State.OPEN, State.DECLINED),
    )  # fmt: skip


def decline(*, request_id: int, text: str, seen: int, press: str, by: Any) -> bool:
    """Say no, with a word why."""
    if not text.strip():
        raise UnmetError(_("Write a word why; the customer reads it."), "text")
    return _deed(
        request_id, Kind.DECLINED, seen, press, by, text=text, mail="declined", to=State.DECLINED,
        only=(State.OPEN, State.TAKEN),
    )  # fmt: skip


def tell_ready(*, request_id: int, text: str, seen: int, press: str, by: Any) -> bool:
    """Tell the customer that the vehicle can be built on; the request ends."""
    row = VehicleRequest.objects.get(pk=request_id)
    if row.state == State.TAKEN and row.generation not in snapshot.current().generations:
        raise WrongStateError(_("Its vehicle is not in the catalogue yet."))
    return _deed(
        request_id, Kind.TOLD, seen, press, by, text=text, mail="ready", to=State.READY, only=(State.TAKEN,)
    )


def name_vehicle(*, request_id: int, generation: str, by: Any) -> bool:
    """Say which vehicle answers the request; naming it also takes up what was only asked for."""
    if generation not in snapshot.current().generations:
        raise UnmetError(_("Choose a vehicle of the catalogue."), "generation")
    with transaction.atomic():
        row = locked(request_id)
        if row.state not in (State.OPEN, State.TAKEN):
            raise WrongStateError(_over(row))
        if row.generation == generation and row.state == State.TAKEN:
            return False
        row.generation, row.asks_us = generation, False
        if row.state != State.TAKEN:
            row.state, row.state_since = State.TAKEN, timezone.now()
        row.save()
        number = row.entries.count()
        add(row, Kind.VEHICLE, text=generation, by=by, press=f"vehicle:{row.pk}:{number}")
        dealt_with(row)
    return True


def nothing_to_answer(*, request_id: int, seen: int) -> bool:
    """Take a request off the list of what waits, where a word wants no answer."""
    with transaction.atomic():
        row = locked(request_id)
        _check_seen(row, seen)
        changed = VehicleRequest.objects.filter(pk=row.pk, asks_us=True).update(asks_us=False)
        dealt_with(row)
    return bool(changed)


@transaction.atomic
def forget(request_id: int) -> None:
    """Delete a request for good, with its words, photos and mails."""
    row = locked(request_id)
    News.objects.filter(key__startswith=f"asked:{row.pk}:").delete()
    for photo in row.photos.all():
        photos.remove(photo)
    row.delete()


def _deed(
    request_id: int,
    kind: str,
    seen: int,
    press: str,
    by: Any,
    *,
    text: str,
    mail: str = "",
    to: str = "",
    only: tuple[str, ...] = (),
) -> bool:
    """Do one deed under the request's lock and mail what it says; pressed twice it is done once."""
    with transaction.atomic():
        row = locked(request_id)
        key = f"{kind}:{press}"[:40]
        if row.entries.filter(press=key).exists():
            return False
        if kind == Kind.ANSWER and not row.email:
            raise UnmetError(_("They gave no mail address: call them, and note what was said."), "text")
        if only and row.state not in only:
            raise WrongStateError(_over(row))
        _check_seen(row, seen)
        entry, _made = add(row, kind, text=text.strip(), by=by, press=key)
        row.asks_us = False
        if to:
            row.state, row.state_since = to, timezone.now()
        row.save()
        if mail:
            mailing.write(row, mail, why=text.strip(), occasion=str(entry.pk))
        dealt_with(row)
    return True


def _check_seen(row: VehicleRequest, seen: int) -> None:
    if row.entries.filter(pk__gt=seen).exists():
        raise StaleError(
            _("Something was added to this request since you opened it. Read it below, then press again.")
        )


def _over(row: VehicleRequest) -> str:
    return _("That cannot be done now: the request is %(state)s.") % {"state": row.get_state_display()}
