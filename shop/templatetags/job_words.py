"""Small words and marks that the workshop's pages share."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import format_html

from shop.jobs.states import State

register = template.Library()
TONES = {
    "fits": "is-ok",
    "note": "is-info",
    "measure": "is-warn",
    "unknown": "is-warn",
    "no": "is-stop",
}
STATE_TONES = {
    State.DECLINED: "is-stop",
    State.CANCELLED: "is-stop",
    State.HANDED_OVER: "is-ok",
    State.READY: "is-ok",
    State.WAITING: "is-warn",
    State.DEPOSIT_DUE: "is-warn",
}
# Dotted action names are stable; these are the words for people.
ACTION_WORDS = {
    "job.opened": "sent by the customer",
    "job.taken_into_review": "taken into review",
    "job.customer_asked": "customer asked",
    "job.back_in_review": "back in review",
    "job.workshop_agreed": "workshop agreed",
    "job.customer_agreed": "customer agreed",
    "job.agreed": "agreed by both",
    "job.reopened": "opened for changes again",
    "job.amended": "build changed by the workshop",
    "job.deposit_asked": "deposit asked for",
    "job.deposit_received": "deposit received",
    "job.deposit_came_early": "deposit came early",
    "job.parts_ordered": "parts on order",
    "job.parts_in": "parts complete",
    "job.dates_moved": "dates moved",
    "job.dates_taken_back": "dates taken back",
    "job.days_proposed": "customer proposed other days",
    "job.days_declined": "proposed days not possible",
    "job.date_stood_by": "date kept all the same",
    "job.booked": "booked",
    "job.work_started": "work started",
    "job.made_ready": "made ready",
    "job.handed_over": "handed over",
    "job.declined": "declined",
    "job.cancelled": "cancelled",
    "job.held": "put on hold",
    "job.released": "hold lifted",
    "job.link_renewed": "customer’s link renewed",
    "job.measured": "measured at the vehicle",
    "job.rechecked": "wheel fasteners checked again",
    "step.done": "step done",
    "step.skipped": "step left out",
    "step.undone": "step opened again",
}


@register.simple_tag
def verdict_pill(verdict: str) -> str:
    """Return a fit verdict as a pill; the word tells it, the colour only helps."""
    return format_html('<span class="pill {}">{}</span>', TONES.get(verdict, "is-info"), verdict)


@register.simple_tag
def state_stamp(job: Any, mark: str = "stamp") -> str:
    """Return the job's state as a stamp or a pill."""
    tone = "is-stop" if job.on_hold_reason else STATE_TONES.get(job.state, "is-info")
    text = f"{job.get_state_display()}, on hold" if job.on_hold_reason else job.get_state_display()
    return format_html('<span class="{} {}">{}</span>', mark, tone, text)


@register.filter
def action_words(action: str) -> str:
    """Return what happened, in words."""
    return ACTION_WORDS.get(action, action.rpartition(".")[2].replace("_", " "))


@register.filter
def check_name(check_id: str) -> str:
    """Return a check's name in words."""
    return check_id.replace("_", " ").capitalize()


@register.filter
def figure(value: Any) -> str:
    """Return a number short and plain: 1250, 2.5, 0.05; text as it is."""
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return f"{value:.6g}" if isinstance(value, float) else str("" if value is None else value)


@register.filter
def signed(value: float | None) -> str:
    """Return a margin with its sign."""
    return "" if value is None else f"{value:+.1f}"


@register.filter
def hours(value: float) -> str:
    """Return hours as hours and minutes: 1 h 30."""
    minutes = round(value * 60)
    whole, rest = divmod(minutes, 60)
    if not whole:
        return f"{rest} min"
    return f"{whole} h {rest:02d}" if rest else f"{whole} h"
