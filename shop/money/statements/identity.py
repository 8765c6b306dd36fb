"""Whether two statements tell of the same movement: never booked twice, never dropped.

Banks number entries anew in every file, let several payers of a batch share one reference, and word the
same movement differently in each format. So movements of one account, day, amount and currency are laid
side by side, and what is the same in everything the bank told goes together, each with one. Of what is
left, the servicer's reference decides between formats. Where neither decides, a person is asked.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from .entries import BankEntry

# What banks write where they have no reference.
_NO_REFERENCE = frozenset({"", "NONREF", "NOTPROVIDED", "NOREF", "NOTAVAILABLE", "NOTSUPPLIED", "UNKNOWN"})


class Verdict(StrEnum):
    """What a movement is to what is known already."""

    NEW = "new"
    KNOWN = "known"
    DOUBT = "doubt"


@dataclass(frozen=True)
class Kept:
    """A movement that an earlier file told, in which format, and its key."""

    key: int
    format: str
    entry: BankEntry


@dataclass(frozen=True)
class Recognised:
    """A movement of the new file and what it is; ``like`` is the earlier one it is or may be."""

    entry: BankEntry
    verdict: Verdict
    like: int | None = None


def servicer_reference(entry: BankEntry) -> str:
    """Return the bank's reference where it can tell movements apart: nothing for fillers and noughts."""
    reference = re.sub(r"[^0-9A-Z]", "", entry.bank_reference.upper())
    return "" if reference in _NO_REFERENCE or not reference.strip("0") else reference


def recognise(entries: Iterable[BankEntry], told_in: str, kept: Iterable[Kept]) -> list[Recognised]:
    """Return the verdict on each movement of one account's statement, in the statement's order.

    ``told_in`` is the new file's format, ``kept`` holds earlier movements of the same account. The
    answer does not depend on the order in which files come.
    """
    earlier: dict[tuple[object, ...], list[Kept]] = defaultdict(list)
    for one in kept:
        earlier[_bucket(one.entry)].append(one)
    groups: dict[tuple[object, ...], list[tuple[int, BankEntry]]] = defaultdict(list)
    for index, entry in enumerate(entries):
        groups[_bucket(entry)].append((index, entry))
    found: dict[int, Recognised] = {}
    for bucket, members in groups.items():
        found |= _side_by_side(members, told_in, earlier[bucket])
    return [found[index] for index in sorted(found)]


def _bucket(entry: BankEntry) -> tuple[object, ...]:
    return entry.booked_on, entry.amount, entry.currency


def _side_by_side(new: list[tuple[int, BankEntry]], told_in: str, old: list[Kept]) -> dict[int, Recognised]:
    """Pair what is the same, first by everything told, then by the servicer's reference; judge the rest."""
    found: dict[int, Recognised] = {}
    left, rest = list(old), list(new)
    for same in (_all_told, _by_reference):
        still = []
        for index, entry in rest:
            twin = next((one for one in left if same(entry, told_in, one)), None)
            if twin is None:
                still.append((index, entry))
            else:
                left.remove(twin)
                found[index] = Recognised(entry, Verdict.KNOWN, twin.key)
        rest = still
    for index, entry in rest:
        like = next((one for one in left if not _surely_another(entry, told_in, one)), None)
        if like is None:
            found[index] = Recognised(entry, Verdict.NEW)
        else:
            left.remove(like)
            found[index] = Recognised(entry, Verdict.DOUBT, like.key)
    return found


def _all_told(entry: BankEntry, told_in: str, one: Kept) -> bool:
    return told_in == one.format and _facts(entry) == _facts(one.entry)


def _by_reference(entry: BankEntry, told_in: str, one: Kept) -> bool:
    """The servicer's reference joins the wordings of two formats, unless the payers differ."""
    reference = servicer_reference(entry)
    return bool(
        told_in != one.format
        and reference
        and reference == servicer_reference(one.entry)
        and not _other_party(entry, one.entry)
    )


def _surely_another(entry: BankEntry, told_in: str, one: Kept) -> bool:
    """Whether two movements of one day and amount are surely two."""
    if _other_party(entry, one.entry):
        return True
    if told_in != one.format:
        return False
    # One bank words one movement the same way each time; a reference alone that differs may be a
    # number given anew, and words alone that differ under one reference a text set right.
    mine, other = servicer_reference(entry), servicer_reference(one.entry)
    if mine != other:
        return _words(entry) != _words(one.entry)
    return not mine and _words(entry) != _words(one.entry)


def _other_party(one: BankEntry, other: BankEntry) -> bool:
    """Whether the payers' accounts, else their names, tell that they are two people."""
    if one.other_iban and other.other_iban:
        return _plain(one.other_iban) != _plain(other.other_iban)
    names = [set(re.findall(r"\w{3,}", entry.other_name.casefold())) for entry in (one, other)]
    return bool(names[0] and names[1] and not names[0] & names[1])


def _words(entry: BankEntry) -> tuple[str, ...]:
    told = (entry.other_name, entry.other_iban, entry.reference, entry.text, entry.documents)
    return tuple(_plain(text) for text in told)


def _facts(entry: BankEntry) -> tuple[object, ...]:
    return (*_words(entry), servicer_reference(entry), entry.is_reversal)


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
