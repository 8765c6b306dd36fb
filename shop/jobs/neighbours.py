"""What jobs ask of parts and money. They stand on jobs, so they are imported when called."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from configurator.spec.evaluation import Evaluation

    from .models import Job


def _ask(module: str, function: str, default: Any, **kwargs: Any) -> Any:
    try:
        found = getattr(import_module(module), function, None)
    except ModuleNotFoundError as error:
        if error.name != module:
            raise
        return default
    return found(**kwargs) if found else default


def make_papers(job: Job, evaluation: Evaluation) -> None:
    """Have the parts list and the deposit request made, or made anew after a change."""
    _ask("shop.parts.service", "make_parts_list", None, job=job, evaluation=evaluation)
    _ask("shop.money.service", "make_deposit_request", None, job=job, evaluation=evaluation)


def missing_parts(job: Job) -> list[str]:
    """Return what is not here yet, in words, one a line of the parts list."""
    return list(_ask("shop.parts.service", "missing_parts", [], job=job))


def deposit_is_covered(job: Job) -> bool:
    """Return whether what was paid covers the deposit asked for."""
    return bool(_ask("shop.money.service", "deposit_is_covered", job.deposit_paid_at is not None, job=job))
