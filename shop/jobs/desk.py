"""What staff do by hand for a customer: a yes by telephone, notes of calls, and contact put right."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.builds.sending import Contact
from configurator.builds.vin import check_vin

from .errors import PressUsedError, StaleError, UnmetError, WrongStateError
from .finding import note_words
from .models import LINK_FIELDS, Job
from .models_history import HistoryEntry
from .moving import check_role, check_version, locked, move, record
from .roles import THE_CUSTOMER, Actor, By, actor
from .service import ask_for_deposit
from .signals import contact_corrected, contact_noted
from .states import CUSTOMER, MANAGER, REVIEWER, STAFF_ROLES, State

AT_THE_DESK = frozenset({REVIEWER, MANAGER})
CONTACT = ("name", "email", "phone", "registration", "vin")
NOTES = {"call": "note.call", "inner": "note.inner"}
YES, CORRECTED = "job.customer_agreed_by_telephone", "job.contact_corrected"
ABOUT_THE_CUSTOMER = (*NOTES.values(), YES, CORRECTED)
"""Actions whose entries tell who the customer is; forgotten with them."""


def add_note(*, job_id: int, by: By, kind: str, text: str, press: str, spoken_with: str = "") -> bool:
    """Keep a note of a call (``kind`` is call) or for colleagues (inner); the customer never sees it.

    A second press of the same form writes nothing and returns False; with another text it is refused. A job
    in any state takes notes.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, frozenset(STAFF_ROLES), _("Writing notes"))
        if not text.strip():
            raise UnmetError(_("Write something."), "text")
        if kind == "call" and not spoken_with.strip():
            raise UnmetError(_("Say whom you spoke with."), "spoken_with")
        more: dict[str, Any] = {"spoken_with": spoken_with.strip()} if kind == "call" else {}
        if before := job.history.filter(action__in=NOTES.values(), data__press=press).first():
            if (before.action, before.why, before.data) != (
                NOTES[kind],
                text.strip(),
                {"press": press, **more},
            ):
                raise PressUsedError
            return False
        record(job, who, NOTES[kind], why=text.strip(), press=press, **more)
    return True


def agree_by_telephone(
    *, job_id: int, revision_id: int, by: By, said_by: str, why: str = "", version: int | None = None
) -> bool:
    """Record the customer's yes to one exact revision as given by telephone: who gave it and who took it.

    It counts as the customer's own yes on the page. While the workshop still reviews, it is noted and the
    job is agreed once the workshop confirms. Returns False when the customer has said yes already.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, AT_THE_DESK, _("Recording a yes by telephone"))
        offered = job.state == State.WAITING and job.workshop_agreed_revision_id == job.revision_id
        if job.customer_agreed_revision_id == job.revision_id and not offered:
            return False
        if job.state not in (State.IN_REVIEW, State.WAITING):
            raise WrongStateError(_("There is nothing to agree to at the moment."))
        check_version(job, version)
        if job.revision_id != revision_id:
            raise StaleError(
                _("The build has changed since you opened this page. Read it out once more."),
                revision=job.revision_id,
            )
        if not said_by.strip():
            raise UnmetError(_("Say who gave the yes."), "said_by")
        _note_yes(job, who, said_by.strip(), why)
    return True


def _note_yes(job: Job, who: Actor, said_by: str, why: str) -> None:
    job.customer_agreed_revision = job.revision
    job.version += 1
    job.save(update_fields=["customer_agreed_revision", "version"])
    number = job.revision.number
    record(job, who, YES, why=why.strip(), revision=number, said_by=said_by)
    if job.state != State.WAITING:
        return
    # The customer decided; the name in the history is that of whoever took the call.
    for_customer = Actor(who.name, frozenset({CUSTOMER}), who.user)
    if job.workshop_agreed_revision_id == job.revision_id:
        move(job_id=job.pk, to=State.AGREED, by=for_customer, data={"revision": number})
        ask_for_deposit(job_id=job.pk)
    else:
        move(job_id=job.pk, to=State.IN_REVIEW, by=for_customer, data={"by_telephone": True})


@dataclass(frozen=True)
class Corrected:
    """What a correction changed: each fact before and after."""

    before: dict[str, str]
    after: dict[str, str]


def correct_contact(
    *,
    job_id: int,
    contact: Contact,
    by: By,
    why: str,
    address_was_wrong: bool = False,
    version: int | None = None,
) -> Corrected | None:
    """Put right how the customer is called and reached, and what the vehicle is known by.

    The build that was agreed stays as it is: only these facts of the revision change, and the history
    keeps what they were. ``address_was_wrong``: the link that went to the wrong address stops working,
    and the mails sent there go to the right one. Returns None when nothing differs.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, AT_THE_DESK, _("Correcting contact"))
        given = {name: value.strip() for name, value in asdict(contact).items() if name in CONTACT}
        before = {name: getattr(job.revision, name) for name in CONTACT}
        changed = [name for name in CONTACT if given[name] != before[name]]
        if not changed:
            return None
        check_version(job, version)
        if not why.strip():
            raise UnmetError(_("Say how you know."), "why")
        found = Corrected({name: before[name] for name in changed}, {name: given[name] for name in changed})
        _store_contact(job, found)
        renew = address_was_wrong and "email" in found.after
        if renew:
            job.renew_link()
        job.version += 1
        job.save(update_fields=["version", *LINK_FIELDS])
        entry = record(job, who, CORRECTED, why=why.strip(), before=found.before, after=found.after)
        _tell(job, entry, found, renew)
    return found


def correct_as_customer(*, job_id: int, **given: str) -> HistoryEntry | None:
    """Keep what the customer says of how they are reached: ``phone``, or an ``email`` that was proved.

    Their link stays. Returns the entry of the history, or None when nothing differs.
    """
    with transaction.atomic():
        job = locked(job_id)
        before = {name: getattr(job.revision, name) for name in given}
        after = {name: value.strip() for name, value in given.items() if value.strip() != before[name]}
        if not after:
            return None
        found = Corrected({name: before[name] for name in after}, after)
        _store_contact(job, found)
        job.version += 1
        job.save(update_fields=["version"])
        entry = record(job, THE_CUSTOMER, CORRECTED, before=found.before, after=found.after)
        _tell(job, entry, found, renewed=False)
    return entry


def _store_contact(job: Job, found: Corrected) -> None:
    revision = job.revision
    for name, value in found.after.items():
        setattr(revision, name, value)
    vin = check_vin(revision.vin) if revision.vin else None
    revision.vin_warning = vin.warning[:200] if vin else ""
    revision.save(update_fields=[*found.after, "vin_warning"])
    note_words(job)
    contact_noted.send(Job, job=job)


def _tell(job: Job, entry: HistoryEntry, found: Corrected, renewed: bool) -> None:
    if "email" in found.after:
        told: dict[str, Any] = {"before": found.before["email"], "after": found.after["email"]}
        contact_corrected.send(Job, job=job, entry=entry, renewed=renewed, **told)
