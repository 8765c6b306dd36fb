"""What jobs ask of parts and money. They stand on jobs, so they are imported when called."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from configurator.builds.evaluation import Evaluation

    from .models import Job


def make_papers(job: Job, evaluation: Evaluation) -> None:
    """Have the parts list and the deposit request made, or made anew after a change."""
    from shop.money.service import make_deposit_request
    from shop.parts.service import make_parts_list

    make_parts_list(job=job, evaluation=evaluation)
    make_deposit_request(job=job, evaluation=evaluation)


def missing_parts(job: Job) -> list[str]:
    """Return what is not here yet, in words, one a line of the parts list."""
    from shop.parts import service

    return service.missing_parts(job=job)


def deposit_is_covered(job: Job) -> bool:
    """Return whether what was paid covers the deposit asked for."""
    from shop.money import service

    return service.deposit_is_covered(job=job)
