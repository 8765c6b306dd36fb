"""Which column of a bank's CSV holds what: general words of banking, in English and German.

The words are common practice, no source; whoever imports a file sees the guess and can choose otherwise.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _

FIELDS = {
    "date": _("Booking day"),
    "amount": _("Amount, signed"),
    "debit": _("Money out"),
    "credit": _("Money in"),
    "side": _("In or out (S/H, D/C)"),
    "currency": _("Currency"),
    "name": _("Name of the other side"),
    "payer": _("Name of the payer"),
    "payee": _("Name of the payee"),
    "iban": _("Account of the other side"),
    "reference": _("Structured reference"),
    "text": _("Text"),
    "bank_reference": _("The bank's own reference"),
    "account": _("Own account"),
}
"""Every field in the order of the form, with its name for people."""

MANY = frozenset({"text"})
"""Fields that several columns may hold together."""

_WORDS = """
date: date, booking date, booked on, posting date, transaction date, buchungstag, buchungsdatum,
    buchung, datum, value date, valuta date, valutadatum, wertstellung, wertstellungstag, valuta
amount: amount, betrag, umsatz, betrag in eur, amount in eur, buchungsbetrag, transaction amount,
    bedrag, montant
debit: debit, debit amount, soll, belastung, paid out, money out, withdrawal, withdrawals, ausgang,
    lastschrift
credit: credit, credit amount, haben, gutschrift, paid in, money in, deposit, deposits, eingang
side: side, s h, h s, soll haben, soll haben kennzeichen, debit credit, credit debit, dr cr, cr dr,
    d c, c d, af bij, kennzeichen, direction, debit credit mark
currency: currency, währung, waehrung, account currency, devise
name: name, counterparty, counterparty name, partner name, begünstigter zahlungspflichtiger,
    beguenstigter zahlungspflichtiger, auftraggeber empfänger, auftraggeber empfaenger, name
    zahlungsbeteiligter, other party, name der gegenseite
payer: payer, payer name, zahlungspflichtige r, zahlungspflichtiger, auftraggeber, debtor, debtor
    name
payee: payee, payee name, zahlungsempfänger in, zahlungsempfänger, zahlungsempfaenger, empfänger,
    empfaenger, begünstigter, beguenstigter, creditor, creditor name
iban: iban, counterparty iban, counterparty account, partner iban, iban zahlungsbeteiligter,
    kontonummer iban, iban der gegenseite, kontonummer, konto
reference: reference, creditor reference, structured reference, zahlungsreferenz, payment reference,
    referenz
text: text, verwendungszweck, description, details, purpose, remittance information, memo, betreff,
    mitteilung, communication, narrative, buchungstext, booking text, transaction type, umsatztyp,
    kundenreferenz, kundenreferenz end to end, end to end reference, mandatsreferenz, vorgang
    verwendungszweck, particulars
bank_reference: bank reference, bank s reference, transaction id, transaktions id,
    transaktionsnummer, umsatz id, bankreferenz, entry reference, servicer reference
account: account, own account, iban auftragskonto, auftragskonto, account number, account iban,
    eigenes konto
"""


def _by_word() -> dict[str, tuple[str, int]]:
    """Return field and rank of each word above; a line that is set in goes on with the one before."""
    found: dict[str, tuple[str, int]] = {}
    for line in _WORDS.replace("\n    ", " ").strip().splitlines():
        field, _colon, words = line.partition(": ")
        found |= {word.strip(): (field, rank) for rank, word in enumerate(words.split(","))}
    return found


_FIELD_OF = _by_word()


def plain(name: str) -> str:
    """Return a heading in lower case, without brackets and marks: ``Betrag (€)`` is ``betrag``."""
    bare = re.sub(r"\(.*?\)|\[.*?\]", " ", name.casefold())
    return " ".join(re.sub(r"[\W_]+", " ", bare).split())


def guess(heading: Sequence[str]) -> dict[str, tuple[int, ...]]:
    """Return the columns of each field that the heading's words tell; of two for one field the likelier."""
    found: dict[str, list[tuple[int, int]]] = {}
    for index, cell in enumerate(heading):
        field, rank = _FIELD_OF.get(plain(cell), ("", 0))
        if field:
            found.setdefault(field, []).append((rank, index))
    return {
        field: tuple(index for _rank, index in (sorted(told) if field in MANY else [min(told)]))
        for field, told in found.items()
    }


def is_enough(columns: dict[str, tuple[int, ...]]) -> bool:
    """Whether day and amount are there, the amount in one column or in two."""
    return bool(columns.get("date")) and bool(
        columns.get("amount") or (columns.get("debit") and columns.get("credit"))
    )


def signature(heading: Sequence[str]) -> str:
    """Return the digest by which files of one shape are recognised."""
    return hashlib.sha256("\x1f".join(plain(cell) for cell in heading).encode()).hexdigest()
