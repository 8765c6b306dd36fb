"""Tags of the customer's pages: money, lengths and engine sentences in the reader's language and units."""

from __future__ import annotations

import re
from typing import Any

from django import template
from django.urls import reverse
from django.utils.formats import number_format
from django.utils.html import format_html_join
from django.utils.translation import gettext

from configurator.builds.choices import Choice
from configurator.builds.evaluation import AxleFit, PartLine
from configurator.pages import amounts, drawing, forms_lists, told_codes, wording
from configurator.pages import told as telling

register = template.Library()


register.filter("money", telling.money)
register.filter("total_label", amounts.total_label)
register.filter("price_label", amounts.price_label)


@register.simple_tag(takes_context=True)
def told(context: template.Context, text: str) -> str:
    """Return a sentence of the engine in the reader's language and units."""
    return telling.told(text, inches=wants_inches(context))


@register.simple_tag(takes_context=True)
def figure(context: template.Context, value: Any, unit: str = "") -> str:
    """Return a figure of a fit row with its unit, rounded for people."""
    return telling.figure(value, unit, inches=wants_inches(context))


@register.simple_tag
def quantity(line: PartLine) -> str:
    """Return how much of a part: ``8 ×``, ``1.9 m``, ``0.02 l``."""
    return telling.quantity(line.quantity, line.unit)


def wants_inches(context: template.Context) -> bool:
    """Whether whoever reads has chosen inches, on this device or with their account."""
    request = context.get("request")
    return bool(request and request.COOKIES.get("units") == "in")


register.filter("tone", told_codes.tone)


@register.filter
def verdict_word(verdict: str) -> str:
    """Return a verdict for people."""
    return telling.verdict_word(verdict)


@register.filter
def body_style(generation: Any) -> str:
    """Return what kind of vehicle a generation is."""
    return told_codes.body(generation.body_style, generation.category)


register.filter("tell", telling.told)
register.filter("stage", told_codes.stage)
register.filter("place", told_codes.place)
register.filter("check_name", told_codes.name_of_check)
register.filter("published", told_codes.published)


register.filter("for_customers", told_codes.for_customers)


@register.filter
def dom_id(token: str) -> str:
    """Return a token as something that can stand in an id: other characters become ``_`` and a number."""
    return re.sub(r"[^A-Za-z0-9-]", lambda match: f"_{ord(match[0]):x}", str(token))


@register.filter
def get(mapping: Any, key: Any) -> Any:
    """Return ``mapping[key]``, or nothing."""
    return mapping.get(key) if mapping else None


@register.inclusion_tag("configurator/fields/state.html", takes_context=True)
def option_state(context: template.Context, token: str) -> dict[str, Any]:
    """Show whether an option is open, needed, closed or at odds, and what it does to the price."""
    mark = context["marks"].get(token)
    form = context["form"]
    field = "accent" if mark and mark.asks and mark.asks.field == "accent" else "body_finish"
    colours = form.colours(field) if mark and mark.asks else ()
    address = reverse("configurator:build", args=[context["spec"].token])
    return {"mark": mark, "colours": colours, "build_url": address, "request": context.get("request")}


@register.inclusion_tag("configurator/fields/option_finish.html")
def option_finish(form: Any, code: str) -> dict[str, Any]:
    """Show the finish field of an option that can be had in more than one."""
    name = f"finish-{code}"
    return {"field": form[name] if name in form.fields else None, "form_show_labels": True}


@register.simple_tag
def wheel_picture(design: str, hex_: str) -> str:
    """Draw one wheel."""
    return drawing.wheel_picture(design, hex_)


@register.simple_tag(takes_context=True)
def fit_headline(context: template.Context, fit: AxleFit) -> str:
    """Return the fit in a line to stand behind its verdict: of a no, the reason alone."""
    reason = next((row.message for row in fit.checks if row.verdict == "no"), None)
    return telling.told(reason or fit.headline, inches=wants_inches(context))


@register.simple_tag
def wheel_design(design: str) -> str:
    """Return a wheel's design in words."""
    return forms_lists.design_word(design)


@register.inclusion_tag("configurator/lists/list.html", takes_context=True)
def part_list(context: template.Context, name: str, out_of_band: bool = False) -> dict[str, Any]:
    """Draw one list of wheels, tyres or spacers."""
    return {
        "list": context["part_lists"][name],
        "field": context["form"][name],
        "out_of_band": out_of_band,
        **{key: context.get(key) for key in ("spec", "currency", "request", "prices")},
    }


@register.simple_tag(takes_context=True)
def price_differences(context: template.Context) -> str:
    """Return what each part on the lists does to the price, to be put where it stands."""
    prices = context["prices"]
    return format_html_join(
        "",
        '<b id="diff-{}" hx-swap-oob="innerHTML">{}</b>',
        (
            (dom_id(token.replace("=", "-")), prices.get(token, ""))
            for token in context["fresh"].get("price", ())
        ),
    )


@register.simple_tag(takes_context=True)
def picture(context: template.Context, view: str) -> str:
    """Return one view of the vehicle."""
    found: str = context[f"picture_{view}"]
    return found


@register.simple_tag(takes_context=True)
def way_price(context: template.Context, way: str) -> str:
    """Return what a way to a colour of one's own does to the price."""
    found: str = context["prices"].get(f"way={way}", "")
    return found


@register.simple_tag
def choice_words(choice: Choice) -> str:
    """Return a choice in a few words."""
    return wording.choice_words(choice)


@register.simple_tag
def bolt_circle(count: int | None, circle_mm: float | None) -> str:
    """Return a bolt circle as the trade writes it, such as ``5 × 112``; a centre axle has none."""
    if count is None or circle_mm is None:
        return gettext("centre axle")
    return f"{count} × {number_format(circle_mm, 0 if float(circle_mm).is_integer() else 1)}"
