"""The handover pack: what was fitted, to which torque, in which paint, and what to look after."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.pages import told
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job, JobOperation
from shop.jobs.states import State
from shop.parts.demand import job_parts
from shop.parts.models import JobPart

from . import words
from .coming_in import came_in, marks
from .customer import NoPaperError

FITTED_KINDS = ("wheel", "tyre", "spacer", "fastener", "ring", "panel", "extra")


def no_handover(job: Job) -> str:
    """Return why there is no handover pack yet, or nothing."""
    ready = job.state in (State.READY, State.HANDED_OVER)
    return "" if ready else _("The handover pack is made when the vehicle is ready.")


def handover(job: Job) -> dict[str, Any]:
    """Return the pack; raise ``NoPaperError`` before the vehicle is ready."""
    if missing := no_handover(job):
        raise NoPaperError(missing)
    evaluation = evaluation_of(job.revision)
    parts = list(job_parts(job))
    steps = list(job.operations.select_related("done_by"))
    return {
        "title": _("Handover"),
        "number": f"{job.number} · {_('revision %(number)s') % {'number': job.revision.number}}",
        "workshop": words.workshop_words(),
        "facts": [
            [_("Customer"), job.revision.name],
            *words.vehicle_facts(job.revision, evaluation),
            [_("Handed over"), words.day(job.handed_over_at) or _("not yet")],
        ],
        **words.picture(evaluation),
        "summary": [told.told(line) for line in evaluation.summary],
        "fitted": _fitted(evaluation, parts),
        "torque": _torque(evaluation, steps),
        "came_in": came_in(job),
        "marks": marks(job),
        "paint": _paint(evaluation, parts),
        "left_out": [
            [told.told(evaluation.spoken(step.name)), step.reason] for step in steps if step.is_skipped
        ],
        "recheck": _recheck(job),
        "cautions": words.cautions(evaluation),
        "care": _care(parts),
        "insurer": _insurer(job, evaluation.summary, words.vehicle_name(evaluation)),
    }


def _fitted(evaluation: Evaluation, parts: list[JobPart]) -> list[list[str]]:
    return [
        [
            words.quantity(part.quantity, part.unit),
            words.identified(evaluation, part.name, part.piece),
            part.supplier_ref or part.item,
            told.told(evaluation.spoken(part.where)),
        ]
        for part in parts
        if part.kind in FITTED_KINDS
    ]


def _torque(evaluation: Evaluation, steps: list[JobOperation]) -> list[list[str]]:
    rows = []
    for step in steps:
        if step.torque_nm is None:
            continue
        readings = [_reading(reading) for reading in step.torque_readings]
        rows.append(
            [
                words.axle(step.axle) or told.told(evaluation.spoken(step.name)),
                words.torque(step.torque_nm),
                _recorded(step, readings),
                step.done_by.get_username() if step.done_by else "",
                words.day(step.done_at),
            ]
        )
    return rows


def _recorded(step: JobOperation, readings: list[str]) -> str:
    """Return the readings, and in so many words when not every fastener has one."""
    if not readings:
        return _("not recorded")
    said = ", ".join(readings)
    if step.fastener_count and len(readings) < step.fastener_count:
        figures = {"read": said, "n": len(readings), "of": step.fastener_count, "why": step.reason}
        return _("%(read)s (%(n)s of %(of)s fasteners: %(why)s)") % figures
    return said


def _reading(reading: Any) -> str:
    """Return one recorded torque, whether it was kept as a figure or with what goes with it."""
    value = reading.get("value_nm", reading.get("value")) if isinstance(reading, dict) else reading
    return told.number(value)


def _paint(evaluation: Evaluation, parts: list[JobPart]) -> list[list[str]]:
    """Return each colour once: swatch, name, code, systems, and for what."""
    colours: dict[tuple[str, str, str], tuple[dict[str, None], dict[str, None]]] = {}
    for part in parts:
        if part.kind != "paint" or not part.piece.finish:
            continue
        key = (
            part.piece.hex,
            part.piece.finish,
            part.piece.paint_code,
        )
        systems, uses = colours.setdefault(key, ({}, {}))
        systems[part.piece.system] = None
        uses.update(dict.fromkeys(part.for_names))

    def spoken(names: Iterable[str]) -> str:
        return ", ".join(told.told(evaluation.spoken(name)) for name in names)

    return [
        [hex_, spoken([finish]), code, spoken(systems), spoken(uses)]
        for (hex_, finish, code), (systems, uses) in colours.items()
    ]


def _recheck(job: Job) -> str:
    if job.recheck_due_on:
        by = words.day(job.recheck_due_on)
        return _("Wheel fasteners are to be checked after 50 to 100 km, by %(day)s at the latest.") % {
            "day": by
        }
    return ""


def _care(parts: list[JobPart]) -> list[str]:
    found = []
    if any(part.kind == "paint" for part in parts):
        found.append(_("Fresh paint: no car wash with brushes, no polish and no stickers for four weeks."))
    if any(part.kind == "panel" for part in parts):
        found.append(_("Bonded parts: no pressure washer at the edges for one week."))
    return found


def _insurer(job: Job, summary: tuple[str, ...], vehicle: str) -> dict[str, Any]:
    revision = job.revision
    known = [
        _("registration %(number)s") % {"number": revision.registration} if revision.registration else "",
        _("VIN %(number)s") % {"number": revision.vin} if revision.vin else "",
    ]
    named = ", ".join(filter(None, (vehicle, *known)))
    return {
        "text": _(
            "The vehicle named here, %(vehicle)s, was changed as listed below. "
            "Please note the changes in its policy."
        )
        % {"vehicle": named},
        "changes": [told.told(line) for line in summary],
    }
