"""What each mail says, once, for the text and the HTML part alike.

A letter is data: a subject, a heading, paragraphs, facts in two columns and one button. The words are
in the reader's language when the function is called under that language.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TypeVar

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.models import SpecRevision, Workshop
from shop.jobs.models import Job

W = TypeVar("W")


@dataclass(frozen=True)
class Deposit:
    """What is asked for, as a letter tells it: the deposit, or from ready on the balance.

    ``price`` is that of the whole job, ``paid`` what is held, ``outstanding`` what is to be paid now.
    """

    amount: Decimal
    currency: str
    reference: str
    due: str
    payee: str
    iban: str
    bic: str
    paid: Decimal
    outstanding: Decimal
    price: Decimal
    tax_rate_pct: Decimal
    is_more: bool = False


@dataclass(frozen=True)
class Occasion:
    """What a letter may speak of. ``why`` is the reason, question or message that caused it.

    ``held`` is what the workshop has of the customer's money; ``going_back`` what goes back of it,
    what is kept, and the currency.
    """

    job: Job
    revision: SpecRevision
    evaluation: Evaluation
    workshop: Workshop
    link: str
    why: str = ""
    deposit: Deposit | None = None
    held: tuple[Decimal, str] | None = None
    going_back: tuple[Decimal, Decimal, str] | None = None


@dataclass(frozen=True)
class Letter:
    """One mail in words. ``quote`` is someone's own text, ``after`` stands below the button."""

    subject: str
    heading: str
    paragraphs: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    quote: str = ""
    button: str = ""
    after: tuple[str, ...] = ()
    has_picture: bool = False
    to_workshop: bool = False
    points: tuple[str, ...] = field(default=())


Writer = Callable[[Occasion], Letter]


LETTERS: dict[str, Writer] = {}


def register_of(letters: dict[str, W]) -> Callable[[str], Callable[[W], W]]:
    """Return the decorator that puts the function that writes a kind of mail among these."""

    def letter(kind: str) -> Callable[[W], W]:
        def register(writer: W) -> W:
            letters[kind] = writer
            return writer

        return register

    return letter


letter = register_of(LETTERS)


def follow() -> str:
    """Return what the usual button says."""
    return _("See where your job stands")


def keep_private() -> str:
    """Return the usual word on the private link."""
    return _("The link is private: anyone who has it sees this job. Keep it to yourself.")
