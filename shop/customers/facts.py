"""What a build tells of its customer, in the form in which records are compared."""

from __future__ import annotations

from collections.abc import Iterator

from configurator.models import SpecRevision
from shop.jobs.finding import spellings, squash

from .models import Fact

Kind = Fact.Kind
Told = tuple[str, str, str]
"""Kind, value as it was told, and key."""


PHONE_DIGITS = 9


def phone_key(phone: str) -> str:
    """Return the last nine digits, which a calling code or a nought in front leave alone.

    >>> phone_key("+49 (0)171 123 45-67") == phone_key("0171 1234567") == "711234567"
    True
    """
    return squash(phone.replace("(0)", "")).lstrip("0")[-PHONE_DIGITS:]


def facts_of(revision: SpecRevision) -> Iterator[Told]:
    """Yield what a build tells; empty and forgotten facts are none."""
    told = (
        (Kind.MAIL, revision.email, revision.email.strip().casefold()),
        (Kind.PHONE, revision.phone, phone_key(revision.phone)),
        (Kind.VIN, revision.vin, squash(revision.vin)),
        (Kind.PLATE, revision.registration, squash(revision.registration)),
    )
    for kind, value, key in told:
        if key and not key.endswith("@invalid.invalid"):
            yield kind.value, value.strip()[:300], key[:300]


def same_name(one: str, other: str) -> bool:
    """Whether two names are one, however the umlauts are written."""
    return bool(spellings(one) & spellings(other))
