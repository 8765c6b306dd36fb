"""A list of jobs as a file for a spreadsheet (RFC 4180), streamed: however long, little is in memory."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import datetime

from django.db.models import QuerySet
from django.http import StreamingHttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from .cells import safe_cell
from .models import Job
from .said import worded
from .states import State

CHUNK = 500


class _Echo:
    """A file that gives back what is written to it."""

    def write(self, line: str) -> str:
        """Return the line."""
        return line


def csv_of(jobs: QuerySet[Job], *, with_contact: bool) -> StreamingHttpResponse:
    """Return the jobs in their order; ``with_contact`` adds how the customer is reached."""
    response = StreamingHttpResponse(_lines(jobs, with_contact), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="jobs-{timezone.localdate():%Y-%m-%d}.csv"'
    response["Cache-Control"] = "private, no-cache"
    return response


def _lines(jobs: QuerySet[Job], with_contact: bool) -> Iterator[str]:
    writer = csv.writer(_Echo())
    contact = [_("Mail"), _("Telephone"), _("VIN")] if with_contact else []
    # The mark at the beginning tells spreadsheets that letters are UTF-8.
    yield "\ufeff" + writer.writerow(
        [_("Job"), _("State"), _("Since"), _("Customer"), _("Registration"), _("Build"), _("Sent"),
         _("Booked"), _("Promised ready"), _("On hold"), *contact]
    )  # fmt: skip
    names = (
        "number", "state", "state_since", "revision__name", "revision__registration", "spec__name",
        "opened_at", "booked_start", "promised_ready_at", "on_hold_reason", "hold_id", "hold_figures",
    )  # fmt: skip
    more = ("revision__email", "revision__phone", "revision__vin") if with_contact else ()
    for row in jobs.values_list(*names, *more).iterator(chunk_size=CHUNK):
        facts = dict(zip((*names, *more), row, strict=True))
        held, figures = facts.pop("hold_id"), facts.pop("hold_figures")
        if held:
            facts["on_hold_reason"] = worded({"id": held, "figures": figures})
        number, state, *rest = facts.values()
        yield writer.writerow([number, str(State(state).label), *map(_cell, rest)])


def _cell(value: str | datetime | None) -> str:
    return f"{timezone.localtime(value):%Y-%m-%d %H:%M}" if isinstance(value, datetime) else safe_cell(value)
