"""What builds would say under another catalogue: the live answer beside the tried one, nothing stored."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from configurator.words import joined

from .evaluate import evaluate
from .evaluation import Evaluation
from .models import Spec
from .selection import Selection

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

OPEN_BUILDS = 20


@dataclass(frozen=True)
class Tried:
    """One build under both catalogues; ``subject`` is whose it is."""

    subject: Any
    before: Evaluation
    after: Evaluation

    @property
    def total_before(self) -> Decimal | None:
        """The price as it is."""
        return self.before.price.total if self.before.price else None

    @property
    def total_after(self) -> Decimal | None:
        """The price as it would be."""
        return self.after.price.total if self.after.price else None

    @property
    def is_hit(self) -> bool:
        """Whether verdict, price, or what stands against sending it would change."""
        told = self.before.verdict, self.total_before, self.before.sendable
        would = self.after.verdict, self.total_after, self.after.sendable
        return told != would or bool(self.reasons)

    @property
    def reasons(self) -> list[str]:
        """What would newly stand against it."""
        new = [one.message for one in self.after.problems if one not in self.before.problems]
        known = {joined(one.reasons) for one in self.before.conflicts}
        return [*new, *(text for one in self.after.conflicts if (text := joined(one.reasons)) not in known)]


def open_builds(most: int = OPEN_BUILDS) -> list[Spec]:
    """Return the builds that were changed last and have not been sent."""
    return list(Spec.objects.filter(sent_at=None).order_by("-changed_at")[:most])


def tried(subjects: Iterable[tuple[Any, Any]], live: Catalogue, other: Catalogue) -> Iterator[Tried]:
    """Yield every subject with its selection judged under both catalogues."""
    for subject, selection in subjects:
        chosen = Selection.model_validate(selection)
        yield Tried(subject, evaluate(chosen, live), evaluate(chosen, other))
