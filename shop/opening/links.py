"""Where the steps are kept that have pages of their own."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _


@dataclass(frozen=True)
class Link:
    """A page that belongs to a step."""

    url: str
    name: str
    what: str


def links_of(step: str) -> list[Link]:
    """Return the pages of a step, in the reader's language; those that the site has not are left out."""
    found = {
        "places": [
            (
                "shop:plan_setup",
                _("Bays and hours"),
                _("Bay, lift, booth, bench; opening hours; closed days."),
            ),
        ],
        "people": [
            ("shop:people_accounts", _("Accounts"), _("Who signs in: invited by mail, each with roles.")),
            ("shop:people", _("People at work"), _("Who works, what each can do, own hours, absences.")),
        ],
        "catalogue": [
            ("shop:vehicles", _("Vehicles"), _("Measured, drawn and kept up.")),
            ("shop:range", _("Catalogue"), _("Wheels, tyres, options, recipes, rules, prices.")),
            ("shop:range_prices", _("Prices"), _("All goods on one sheet, or changed by so much per cent.")),
            ("shop:range_lists", _("Price lists"), _("As your suppliers send them.")),
            ("shop:stock", _("Stock"), _("What lies on the shelf.")),
        ],
    }.get(step, [])
    return [Link(url, name, what) for address, name, what in found if (url := _url(address))]


def _url(name: str) -> str:
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""
