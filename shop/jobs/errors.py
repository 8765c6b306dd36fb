"""Why something was not done to a job, in words for the person who asked."""

from __future__ import annotations

from django.forms import BaseForm


class JobError(Exception):
    """Base: ``str(error)`` is the message to show; ``status`` is the HTTP status it deserves."""

    status = 409


class NotAllowedError(JobError):
    """The role does not cover it."""

    status = 403


class WrongStateError(JobError):
    """The job is not where this can be done."""


class StaleError(JobError):
    """Someone else changed the job since the page was opened."""


class UnmetError(JobError):
    """Something that must hold does not, yet; ``field`` names the form field when one caused it."""

    status = 400

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


def beside(form: BaseForm, error: Exception) -> None:
    """Put an error of a deed beside the field that its ``field`` names, or above the form without one."""
    field = getattr(error, "field", "")
    form.add_error(field if field in form.fields else None, str(error))
