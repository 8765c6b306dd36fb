"""Papers for the workshop: the job sheet for the bay, the purchase order for a supplier."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.builds.records import PieceFacts
from configurator.pages import told, told_codes
from shop.jobs.evaluations import evaluation_of, rows_to_measure
from shop.jobs.models import Job, JobOperation
from shop.parts.demand import job_parts
from shop.parts.models import JobPart, PurchaseLine, PurchaseOrder

from . import words


def job_sheet(job: Job) -> dict[str, Any]:
    """Return what the bay needs: vehicle, steps by stage, parts by place, paint, what to measure."""
    evaluation = evaluation_of(job.revision)
    parts = list(job_parts(job))
    return {
        "title": _("Job sheet"),
        "number": f"{job.number} · {_('revision %(number)s') % {'number': job.revision.number}}",
        "workshop": words.workshop_words(),
        "facts": [
            [_("Customer"), job.revision.name],
            *words.vehicle_facts(job.revision, evaluation),
            *_dates(job),
        ],
        **words.picture(evaluation),
        "notes": words.paragraphs(job.revision.notes),
        "measure": _to_measure(job, evaluation),
        "stages": _stages(evaluation, list(job.operations.all())),
        "paint": _paint(evaluation, parts),
        "parts": [
            [
                words.quantity(part.quantity, part.unit),
                words.identified(evaluation, part.name, part.piece),
                told.told(evaluation.spoken(part.where)),
            ]
            for part in parts
            if part.kind != "paint"
        ],
        "cautions": words.bench_cautions(evaluation),
    }


def _dates(job: Job) -> list[list[str]]:
    rows = []
    if job.booked_start:
        rows.append([_("Bring in"), words.day(job.booked_start)])
    if job.promised_ready_at:
        rows.append([_("Promised"), words.day(job.promised_ready_at)])
    return rows


def _to_measure(job: Job, evaluation: Evaluation) -> list[list[str]]:
    """Return what the vehicle must settle, with what was measured already."""
    found = {(row.axle, row.check_id): row for row in job.measurements.all()}
    rows = []
    for row in rows_to_measure(evaluation):
        done = found.get((row.axle, row.id))
        measured = f"{words.figure(done.value, done.unit)}: {told.verdict_word(done.verdict)}" if done else ""
        rows.append(
            [
                words.axle(row.axle),
                told_codes.name_of_check(row.id),
                words.figure(row.limit, row.unit),
                told.told(row.message),
                measured,
            ]
        )
    return rows


def _stages(evaluation: Evaluation, operations: list[JobOperation]) -> list[dict[str, Any]]:
    """Group steps that follow each other in one stage."""
    stages: list[dict[str, Any]] = []
    for step in operations:
        if not stages or stages[-1]["code"] != step.stage:
            stages.append({"code": step.stage, "stage": told_codes.stage(step.stage), "steps": []})
        stages[-1]["steps"].append(
            {
                "name": told.told(evaluation.spoken(step.name)),
                "for": ", ".join(
                    told.told(evaluation.spoken(name)) for name in dict.fromkeys(step.for_names)
                ),
                "hands": words.hours(step.hands_on_h),
                "wait": words.hours(step.wait_h),
                "where": step.bay.name if step.bay else told_codes.place(step.resource),
                "torque": words.torque(step.torque_nm) if step.torque_nm else "",
                "caution": told.told(evaluation.spoken(step.caution)),
                "done": step.done_at is not None,
            }
        )
    return stages


def _paint(evaluation: Evaluation, parts: list[JobPart]) -> list[list[str]]:
    """Return what is mixed: colour, system and coat, litres, figures of the coat."""
    return [
        [
            part.piece.hex,
            told.told(evaluation.spoken(part.piece.finish or part.name)),
            part.piece.paint_code,
            _coat(evaluation, part.piece),
            words.quantity(part.quantity, part.unit),
            words.figure(part.piece.dry_film_um, "µm"),
            words.figure(part.piece.voc_g_per_l, "g/l"),
        ]
        for part in parts
        if part.kind == "paint"
    ]


def _coat(evaluation: Evaluation, facts: PieceFacts) -> str:
    """Return system and coat, as far as they are known."""
    system, coat = facts.system, facts.coat
    return ", ".join(
        filter(None, (told.told(evaluation.spoken(system)), told_codes.stage(coat) if coat else ""))
    )


def purchase_order(order: PurchaseOrder) -> dict[str, Any]:
    """Return the order as the supplier reads it."""
    address = order.supplier_address
    place = f"{address.get('postcode', '')} {address.get('town', '')}".strip()
    cash = order.currency
    return {
        "title": _("Purchase order"),
        "number": f"{order.number} · {words.day(order.placed_at)}",
        "workshop": words.workshop_words(),
        "supplier": [
            line
            for line in (order.supplier_name, address.get("street", ""), place, address.get("email", ""))
            if line
        ],
        "facts": [
            [_("Order"), order.number],
            [_("Date"), words.day(order.placed_at)],
            [_("Our customer number"), order.customer_number or _("not given")],
            [_("Currency"), cash],
            [_("Deliver to"), _delivery_line(order)],
        ],
        "note": order.note,
        "lines": [
            [
                str(line.position),
                line.supplier_ref or line.item,
                words.ordered(line.item, line.name, line.piece),
                _in_packs(line),
                words.day(line.need_by) or _("as soon as you can"),
                words.money(line.unit_cost_net, cash),
                words.money(line.amount_net, cash),
            ]
            for line in order.lines.all()
        ],
        "total": ["", "", _("Total without tax"), "", "", "", words.money(order.total_net, cash)],
        "sums": _sums(order),
    }


def _delivery_line(order: PurchaseOrder) -> str:
    place = order.deliver_to
    town = f"{place.get('postcode', '')} {place.get('town', '')}".strip()
    return ", ".join(filter(None, (place.get("name", ""), place.get("street", ""), town))) or _("our address")


def _in_packs(line: PurchaseLine) -> str:
    """Return the quantity, and how it is packed where that is not one by one."""
    amount = words.quantity(line.quantity, line.unit)
    if line.pack_size == 1:
        return amount
    packs = told.number(line.quantity / line.pack_size)
    figures = {"packs": packs, "size": words.quantity(line.pack_size, line.unit)}
    return f"{amount} ({_('%(packs)s packs of %(size)s') % figures})"


def _sums(order: PurchaseOrder) -> list[list[str]]:
    cash = order.currency
    if order.tax is None or order.tax_rate_pct is None:
        return [[_("Tax"), _("as the law has it; none is told here")]]
    rate = told.number(order.tax_rate_pct)
    return [
        [_("Net"), words.money(order.total_net, cash)],
        [_("Tax %(rate)s%%") % {"rate": rate}, words.money(order.tax, cash)],
        [_("Gross"), words.money(order.total_gross, cash)],
    ]
