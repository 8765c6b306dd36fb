"""What the fields of the workshop's record are called on its settings pages, and what helps to fill them."""

from __future__ import annotations

from django.utils.translation import gettext_lazy

LABELS = {
    "name": gettext_lazy("Name"),
    "legal_name": gettext_lazy("Name as registered"),
    "street": gettext_lazy("Street and number"),
    "postcode": gettext_lazy("Postcode"),
    "town": gettext_lazy("Town"),
    "country": gettext_lazy("Country"),
    "email": gettext_lazy("Mail address"),
    "phone": gettext_lazy("Telephone"),
    "delivery_street": gettext_lazy("Goods are delivered to: street"),
    "delivery_postcode": gettext_lazy("Goods are delivered to: postcode"),
    "delivery_town": gettext_lazy("Goods are delivered to: town"),
    "tax_number": gettext_lazy("VAT number or tax number"),
    "endpoint": gettext_lazy("Electronic address for orders and invoices"),
    "tax_rate_pct": gettext_lazy("Tax rate, per cent"),
    "tax_rate_from": gettext_lazy("First day of this rate"),
    "tax_rate_before_pct": gettext_lazy("Rate until then, per cent"),
    "no_tax_why": gettext_lazy("Why you charge no tax"),
    "currency": gettext_lazy("Currency"),
    "labour_rate_per_h": gettext_lazy("An hour’s work costs, tax included"),
    "hours_per_day": gettext_lazy("Hours of a working day"),
    "iban": gettext_lazy("IBAN"),
    "bic": gettext_lazy("BIC"),
    "deposit_pct": gettext_lazy("Deposit, per cent of the price"),
    "deposit_due_days": gettext_lazy("Days to pay it"),
    "terms": gettext_lazy("Terms, with the right of withdrawal"),
    "terms_version": gettext_lazy("Version of the terms"),
    "cancel_freely": gettext_lazy("Customers may call a job off without a reason until work begins"),
    "answer_days": gettext_lazy("Working days within which you answer a build that was sent"),
    "privacy": gettext_lazy("Privacy notice: what you do with people’s data"),
    "privacy_version": gettext_lazy("Version of the privacy notice"),
    "local_codes": gettext_lazy("Notice about papers and local codes"),
}
HELP = {
    "legal_name": gettext_lazy("Empty: the name above."),
    "country": gettext_lazy("Two letters, as DE."),
    "delivery_street": gettext_lazy("Empty: the address above."),
    "endpoint": gettext_lazy("Scheme and number, as 9930:DE000000000; empty if you have none."),
    "tax_number": gettext_lazy(
        "Without either: the number under which your business is registered. An invoice must name one."
    ),
    "tax_rate_pct": gettext_lazy("0 if you charge none."),
    "tax_rate_from": gettext_lazy(
        "When a rate changes, before or after the day: an invoice takes the rate of the day on which the "
        "vehicle was handed over. Empty: the rate has not changed."
    ),
    "no_tax_why": gettext_lazy(
        "With a rate of 0: the sentence that your law wants on an invoice, such as the small-business scheme."
    ),
    "currency": gettext_lazy("Three letters, as EUR."),
    "bic": gettext_lazy("Only for payments from abroad."),
    "deposit_pct": gettext_lazy("Never less than the parts that cannot be sent back is asked for."),
    "terms_version": gettext_lazy(
        "Is kept with what each customer agreed to. Raise it when the terms change."
    ),
    "privacy": gettext_lazy(
        "Shown at the foot of every page and where customers agree. Without one they are told nothing."
    ),
    "privacy_version": gettext_lazy(
        "Is kept with each build that is sent. Raise it when the notice changes."
    ),
    "cancel_freely": gettext_lazy("Tick it if your terms promise that; the page then asks for no reason."),
    "answer_days": gettext_lazy("Customers read it with the day it comes to. 0: you promise none."),
}
