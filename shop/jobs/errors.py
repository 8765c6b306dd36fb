"""Why something was not done to a job, in words for the person who asked."""

from __future__ import annotations

from typing import Any

from django.forms import BaseForm
from django.utils.functional import Promise

from .press import USED, renew


class JobError(Exception):
    """Base: ``str(error)`` is the message to show; ``status`` is the HTTP status it deserves."""

    status = 409


class NotAllowedError(JobError):
    """The role does not cover it."""

    status = 403


class WrongStateError(JobError):
    """The job is not where this can be done."""


class StaleError(JobError):
    """Someone else changed the job since the page was opened.

    ``now`` holds what a form carries of the job, by field, as it is by now: looked at again, it is pressed
    once more from the same page.
    """

    def __init__(self, message: str | Promise, **now: int | str) -> None:
        super().__init__(str(message))
        self.now = now


class UnmetError(JobError):
    """Something that must hold does not, yet; ``field`` names the form field when one caused it."""

    status = 400

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


class PressUsedError(UnmetError):
    """The key of this pressing has made something else before: it is told, and never dropped."""

    def __init__(self) -> None:
        super().__init__(str(USED))


def beside(form: BaseForm, error: Exception) -> None:
    """Put an error of a deed beside the field that its ``field`` names, or above the form without one.

    Where the job had changed, what the form carries of it is renewed: what was typed can be sent once more.
    """
    field = getattr(error, "field", "")
    form.add_error(field if field in form.fields else None, str(error))
    if isinstance(error, PressUsedError):
        renew(form)
    carried = {name: value for name, value in getattr(error, "now", {}).items() if name in form.fields}
    if carried:
        sent: Any = form.data
        data = sent.copy()
        for name, value in carried.items():
            data[form.add_prefix(name)] = str(value)
        form.data = data
