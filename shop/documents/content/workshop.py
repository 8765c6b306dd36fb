"""Papers for the workshop: the job sheet for the bay, the purchase order for a supplier."""

from __future__ import annotations

from typing import Any

from configurator.builds.evaluation import Evaluation
from shop.jobs.evaluations import evaluation_of, rows_to_measure
from shop.jobs.models import Job, JobOperation
from shop.parts.demand import job_parts
from shop.parts.models import JobPart, PurchaseOrder

from . import words


def job_sheet(job: Job) -> dict[str, Any]:
    """Return what the bay needs: vehicle, steps by stage, parts by place, paint, what to measure."""
    evaluation = evaluation_of(job.revision)
    parts = list(job_parts(job))
    return {
        "title": "Job sheet",
        "number": f"{job.number} · revision {job.revision.number}",
        "workshop": words.workshop_words(),
        "facts": [
            ["Customer", job.revision.name],
            *words.vehicle_facts(job.revision, evaluation),
            *_dates(job),
        ],
        **words.picture(evaluation),
        "notes": words.paragraphs(job.revision.notes),
        "measure": _to_measure(job, evaluation),
        "stages": _stages(list(job.operations.all())),
        "paint": _paint(parts),
        "parts": [
            [words.quantity(part.quantity, part.unit), words.identified(part.name, part.facts), part.where]
            for part in parts
            if part.kind != "paint"
        ],
        "cautions": words.cautions(evaluation),
    }


def _dates(job: Job) -> list[list[str]]:
    rows = []
    if job.booked_start:
        rows.append(["Bring in", words.day(job.booked_start)])
    if job.promised_ready_at:
        rows.append(["Promised", words.day(job.promised_ready_at)])
    return rows


def _to_measure(job: Job, evaluation: Evaluation) -> list[list[str]]:
    """Return what the vehicle must settle, with what was measured already."""
    found = {(row.axle, row.check_id): row for row in job.measurements.all()}
    rows = []
    for row in rows_to_measure(evaluation):
        done = found.get((row.axle, row.id))
        measured = f"{done.value:g} {done.unit}: {words.VERDICTS.get(done.verdict, '')}" if done else ""
        rows.append(
            [row.axle, row.id.replace("_", " "), words.figure(row.limit, row.unit), row.message, measured]
        )
    return rows


def _stages(operations: list[JobOperation]) -> list[dict[str, Any]]:
    """Group steps that follow each other in one stage."""
    stages: list[dict[str, Any]] = []
    for step in operations:
        if not stages or stages[-1]["stage"] != step.stage:
            stages.append({"stage": step.stage, "steps": []})
        stages[-1]["steps"].append(
            {
                "name": step.name,
                "for": ", ".join(dict.fromkeys(step.for_names)),
                "hands": words.hours(step.hands_on_h),
                "wait": words.hours(step.wait_h),
                "where": step.bay.name if step.bay else step.resource,
                "torque": f"{step.torque_nm:g} N m" if step.torque_nm else "",
                "caution": step.caution,
                "done": step.done_at is not None,
            }
        )
    return stages


def _paint(parts: list[JobPart]) -> list[list[str]]:
    """Return what is mixed: colour, system and coat, litres, figures of the coat."""
    return [
        [
            str(part.facts.get("hex", "")),
            str(part.facts.get("finish", "")) or part.name,
            str(part.facts.get("paint_code", "")),
            f"{part.facts.get('system', '')}, {part.facts.get('coat', '')}".strip(", "),
            words.quantity(part.quantity, part.unit),
            words.figure(part.facts.get("dry_film_um"), "µm"),
            words.figure(part.facts.get("voc_g_per_l"), "g/l"),
        ]
        for part in parts
        if part.kind == "paint"
    ]


def purchase_order(order: PurchaseOrder) -> dict[str, Any]:
    """Return the order as the supplier reads it."""
    address = order.supplier_address
    place = f"{address.get('postcode', '')} {address.get('town', '')}".strip()
    cash = order.currency
    return {
        "title": "Purchase order",
        "number": f"{order.number} · {words.day(order.placed_at)}",
        "workshop": words.workshop_words(),
        "supplier": [
            line
            for line in (order.supplier_name, address.get("street", ""), place, address.get("email", ""))
            if line
        ],
        "facts": [
            ["Order", order.number],
            ["Date", words.day(order.placed_at)],
            ["Our customer number", order.customer_number or "not given"],
            ["Currency", cash],
        ],
        "note": order.note,
        "lines": [
            [
                str(line.position),
                line.supplier_ref or line.item,
                words.identified(line.name, line.facts),
                words.quantity(line.quantity, line.unit),
                words.day(line.need_by) or "as soon as you can",
                words.money(line.unit_cost_net, cash),
                words.money(line.amount_net, cash),
            ]
            for line in order.lines.all()
        ],
        "total": ["", "", "Total without tax", "", "", "", words.money(order.total_net, cash)],
    }
