"""Who is to be paid, and where: one place, so that page, mail, paper and code never name two accounts."""

from __future__ import annotations

from configurator.catalogue import workshop as workshops

Payee = dict[str, str]
"""``name``, ``iban`` and ``bic``, the latter two in capitals without blanks."""


def payee() -> Payee:
    """Return the workshop's account as its record has it now; empty texts without a workshop.

    An account is held, and a payee verified by banks, under the name that is registered.
    """
    workshop = workshops.current()
    if workshop is None:
        return {"name": "", "iban": "", "bic": ""}
    return {
        "name": workshop.legal_name or workshop.name,
        "iban": workshop.iban.replace(" ", "").upper(),
        "bic": workshop.bic.replace(" ", "").upper(),
    }


def payee_of(seller: Payee) -> Payee:
    """Return the account that an invoice's frozen seller names."""
    return {"name": seller.get("legal_name") or seller["name"], "iban": seller["iban"], "bic": seller["bic"]}
