"""What the fields of the workshop's own record are called."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

WORKSHOP_FIELDS: dict[str, Any] = {
    "answer_days": _("Working days to answer in"),
    "bic": _("BIC"),
    "cancel_freely": _("Called off without a reason"),
    "deposit_due_days": _("Days to pay the deposit"),
    "deposit_pct": _("Deposit"),
    "hours_per_day": _("Working hours a day"),
    "iban": _("IBAN"),
    "labour_rate_per_h": _("Labour rate"),
    "local_codes": _("Local codes"),
    "no_tax_why": _("Why no tax is charged"),
    "privacy": _("Privacy notice"),
    "privacy_version": _("Version of the privacy notice"),
    "tax_number": _("Tax number"),
    "tax_rate_before_pct": _("Tax rate until then"),
    "tax_rate_from": _("First day of the tax rate"),
    "tax_rate_pct": _("Tax rate"),
    "terms": _("Terms"),
    "terms_version": _("Version of the terms"),
}
