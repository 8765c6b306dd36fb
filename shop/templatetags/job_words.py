"""Small words and marks that the workshop's pages share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext as _

from configurator.builds.sentences import say
from configurator.pages import told, told_codes
from configurator.templatetags.build import wants_inches
from shop.jobs.evaluations import copied
from shop.jobs.models import Job
from shop.jobs.said import hold_in_short, hold_of, warnings_of, why_of
from shop.jobs.states import State
from shop.jobs.words import happened, role_names
from shop.parts.names import named

register = template.Library()
STATE_TONES = {
    State.DECLINED: "is-stop",
    State.CANCELLED: "is-stop",
    State.HANDED_OVER: "is-ok",
    State.READY: "is-ok",
    State.WAITING: "is-warn",
    State.DEPOSIT_DUE: "is-warn",
}


@register.simple_tag
def verdict_pill(verdict: str) -> str:
    """Return a fit verdict as a pill; the word tells it, the colour only helps."""
    return format_html(
        '<span class="pill is-{}">{}</span>', told_codes.tone(verdict), told.verdict_word(verdict)
    )


@register.simple_tag(takes_context=True)
def margin_of(context: template.Context, row: Any) -> str:
    """Return a fit row's margin with its sign and unit, in the reader's units; nothing where it has none."""
    if row.margin is None:
        return ""
    inches = row.unit == "mm" and wants_inches(context)
    shown = (
        told.figure(row.margin, row.unit, inches=True) if inches else f"{told.signed(row.margin)} {row.unit}"
    )
    return f"+{shown}" if inches and row.margin > 0 else shown


@register.simple_tag(takes_context=True)
def length_of(context: template.Context, value: Any, unit: str) -> str:
    """Return a figure of a fit row as a table shows it: the number, and where inches are read those."""
    if unit == "mm" and wants_inches(context) and isinstance(value, int | float):
        return told.figure(value, unit, inches=True)
    return told.number(value)


@register.simple_tag
def state_stamp(job: Any, mark: str = "stamp") -> str:
    """Return the job's state as a stamp or a pill."""
    tone = "is-stop" if job.is_held else STATE_TONES.get(job.state, "is-info")
    text = (
        _("%(state)s, on hold") % {"state": job.get_state_display()}
        if job.is_held
        else job.get_state_display()
    )
    return format_html('<span class="{} {}">{}</span>', mark, tone, text)


register.filter("action_words", happened)
register.filter("hold_of", hold_of)
register.filter("hold_in_short", hold_in_short)
register.filter("why_of", why_of)
register.filter("warnings_of", warnings_of)
register.filter("role_names", role_names)
register.filter("check_name", told_codes.name_of_check)
register.filter("stage", told_codes.stage)
register.filter("place", told_codes.place)


@register.filter
def hours(value: float) -> str:
    """Return hours as hours and minutes: 1 h 30."""
    minutes = round(value * 60)
    whole, rest = divmod(minutes, 60)
    if not whole:
        return f"{rest} min"
    return f"{whole} h {rest:02d}" if rest else f"{whole} h"


register.filter("figure", told.number)
register.filter("signed", told.signed)
register.filter("tell", told.told)
register.filter("quantity_of", told.quantity)
register.filter("source_words", told_codes.source)
register.filter("verdict_word", told.verdict_word)


@register.filter
def word(text: str) -> str:
    """Return one of the program's own words, such as customer, system or on order, for the reader."""
    return gettext(text) if text else ""


@register.filter
def tell_all(texts: Iterable[str]) -> str:
    """Return several texts of an evaluation in the reader's language, each once."""
    return ", ".join(dict.fromkeys(told.told(text) for text in texts))


@register.filter
def place_of(position: str) -> str:
    """Return an axle's position: front, rear."""
    return told.told(say(position)) if position in ("front", "rear", "vehicle") else position


@register.filter
def spoken(text: str, job: Job) -> str:
    """Return a text that was copied from the job's build in the reader's language."""
    return copied(job, text)


@register.filter
def spoken_all(texts: Iterable[str], job: Job) -> str:
    """Return several such texts, each once."""
    return ", ".join(dict.fromkeys(spoken(text, job) for text in texts))


@register.filter
def part_name(part: Any) -> str:
    """Return a part by what the catalogue calls it, if that is still its name."""
    return named(part.item, part.name)


@register.filter
def item_name(name: str, sku: str) -> str:
    """Return what lies on a shelf by what the catalogue calls it; paint mixed to a colour says which."""
    code, mark, colour = sku.partition(" · ")
    shown = named(code, name.removesuffix(f", {colour}") if mark else name)
    return f"{shown}, {colour}" if mark and colour in name else shown
