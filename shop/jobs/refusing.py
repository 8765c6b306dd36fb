"""What a page answers where somebody was quicker: nothing typed is lost, and the sentence is true."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext as _

from .models import Job


def said_so(request: HttpRequest, found: Job, why: str) -> bool:
    """Whether the very words were kept before: the same button pressed twice."""
    return found.history.filter(user=request.user.pk, why=why.strip()).exists()


def already(request: HttpRequest, found: Job) -> str:
    """Say where the job is already, and who brought it there."""
    last = found.history.last()
    by = f" ({last.who})" if last and last.who != request.user.get_username() else ""
    said = {"number": found.number, "state": found.get_state_display(), "by": by}
    return _("%(number)s is already “%(state)s”%(by)s.") % said


def out_of_place(error: Exception, *typed: str) -> dict[str, Any]:
    """Return what stands above a page where the form that was refused is not on it any more."""
    return {"refusal": str(error), "refused_text": "; ".join(filter(None, typed))}
