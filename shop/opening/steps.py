"""The steps of setting up, in the order in which a workshop would take them; any order works."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Step:
    """One step: its address, what it is called, what it is for; ``fields`` are the workshop's own."""

    id: str
    name: str | Promise
    what: str | Promise
    fields: tuple[str, ...] = ()


STEPS = (
    Step(
        "workshop",
        _("Name and address"),
        _("As customers, suppliers and papers see it."),
        ("name", "legal_name", "street", "postcode", "town", "country", "email", "phone",
         "delivery_street", "delivery_postcode", "delivery_town"),
    ),
    Step(
        "tax",
        _("Tax and rates"),
        _("What every price is reckoned with."),
        (
            "tax_number", "endpoint", "tax_rate_pct", "tax_rate_from", "tax_rate_before_pct", "no_tax_why",
            "currency", "labour_rate_per_h", "hours_per_day",
        ),
    ),
    Step("bank", _("Bank"), _("Where deposits and balances are paid to."), ("iban", "bic")),
    Step(
        "deposit",
        _("Deposit"),
        _("What you ask for before you order."),
        ("deposit_pct", "deposit_due_days"),
    ),
    Step(
        "terms",
        _("Terms and notices"),
        _("What customers read before they send a build."),
        (
            "terms", "terms_version", "cancel_freely", "answer_days", "privacy", "privacy_version",
            "local_codes",
        ),
    ),
    Step("places", _("Bays and hours"), _("Where and when you work; dates are planned on it.")),
    Step("people", _("People and roles"), _("Who signs in, and who works.")),
    Step("languages", _("Languages"), _("In which the site speaks to customers.")),
    Step("look", _("Logo and colour"), _("How the site looks.")),
    Step("catalogue", _("Vehicles and goods"), _("What customers can choose.")),
)  # fmt: skip
BY_ID: dict[str, Step] = {step.id: step for step in STEPS}


def after(step_id: str, missing: set[str]) -> Any:
    """Return the next step of those that are missing, going round; nothing when none is."""
    ids = [step.id for step in STEPS]
    start = ids.index(step_id) + 1
    return next((BY_ID[one] for one in ids[start:] + ids[:start] if one in missing and one != step_id), None)
