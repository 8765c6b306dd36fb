"""The countries that an invoice's address may name: ISO 3166-1 alpha-2, of the European internal market
and its neighbours, where a customer who brings a vehicle to the workshop lives."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

COUNTRIES = (
    ("AT", _("Austria")),
    ("BE", _("Belgium")),
    ("BG", _("Bulgaria")),
    ("CH", _("Switzerland")),
    ("CY", _("Cyprus")),
    ("CZ", _("Czechia")),
    ("DE", _("Germany")),
    ("DK", _("Denmark")),
    ("EE", _("Estonia")),
    ("ES", _("Spain")),
    ("FI", _("Finland")),
    ("FR", _("France")),
    ("GB", _("United Kingdom")),
    ("GR", _("Greece")),
    ("HR", _("Croatia")),
    ("HU", _("Hungary")),
    ("IE", _("Ireland")),
    ("IS", _("Iceland")),
    ("IT", _("Italy")),
    ("LI", _("Liechtenstein")),
    ("LT", _("Lithuania")),
    ("LU", _("Luxembourg")),
    ("LV", _("Latvia")),
    ("MT", _("Malta")),
    ("NL", _("Netherlands")),
    ("NO", _("Norway")),
    ("PL", _("Poland")),
    ("PT", _("Portugal")),
    ("RO", _("Romania")),
    ("SE", _("Sweden")),
    ("SI", _("Slovenia")),
    ("SK", _("Slovakia")),
)
