"""From a file to what it tells of the workshop's account, whatever the format."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from configurator.catalogue import workshop as workshops
from shop.money.models import CsvLayout, DepositRequest
from shop.money.reasons import left_out_in_words

from .accounts import is_account, plain
from .camt import looks_like_xml, read_camt
from .csv_file import read_csv
from .csv_layout import Layout
from .entries import Statement, refuse
from .headings import signature
from .mt940_file import looks_like_mt940, read_mt940
from .table import open_table

LeftOut = dict[str, Any]


@dataclass(frozen=True)
class OwnStatement:
    """What a file tells of the workshop's account, and which other accounts were left out."""

    statement: Statement
    other_accounts: tuple[LeftOut, ...] = ()

    @property
    def left_out(self) -> list[LeftOut]:
        """All that was left out, as ``reasons.LEFT_OUT`` words it: other accounts, rows that are none."""
        rows = [LeftOut(what="row", row=row) for row in self.statement.passed_over]
        return [*self.other_accounts, *rows]

    @property
    def left_out_words(self) -> list[str]:
        """The same in the reader's language."""
        return [left_out_in_words(one) for one in self.left_out]


def read_statement(data: bytes, layout: Layout | None = None) -> OwnStatement:
    """Return the workshop's statement in a camt.053, MT940 or CSV file.

    A CSV is read by ``layout``, else by the layout remembered for its heading, else by its headings'
    own words. Raises ``StatementError`` with what is wrong, also when the file is of other accounts only.
    """
    if looks_like_xml(data):
        told = read_camt(data)
    elif looks_like_mt940(data):
        told = read_mt940(data)
    else:
        told = read_csv(data, currency=workshops.currency(), layout=layout or remembered(data))
    return _own(told)


def remembered(data: bytes) -> Layout | None:
    """Return the layout that a person chose for files with this heading."""
    row = CsvLayout.objects.filter(heading=signature(open_table(data).heading)).first()
    return as_layout(row) if row else None


def as_layout(row: CsvLayout) -> Layout:
    """Return a kept layout as the reader takes it."""
    return Layout(row.name, row.columns, row.day_order, row.decimal_mark)


def _own(told: Sequence[Statement]) -> OwnStatement:
    workshop = workshops.current()
    own = plain(workshop.iban) if workshop else ""
    currency = workshops.currency_of(workshop)
    mine = [one for one in told if not one.account or not own or is_account(one.account, own)]
    if not mine:
        # Who was asked before the workshop changed its bank pays into the account they were told.
        before = _accounts_asked_for()
        mine = [one for one in told if any(is_account(one.account, iban) for iban in before)]
    others = [one for one in told if one not in mine]
    accounts = {one.account for one in mine if one.account}
    if not mine or len(accounts) > 1:
        names = ", ".join(sorted({one.account for one in told}))
        if own:
            raise refuse(
                _("The statement is of account %(told)s; the workshop's is %(own)s.")
                % {"told": names, "own": own},
                _("account"),
            )
        raise refuse(
            _("The file is of several accounts (%(told)s) and the workshop's own is not known.")
            % {"told": names},
            _("account"),
        )
    entries = tuple(
        entry if entry.currency else replace(entry, currency=currency)
        for one in mine
        for entry in one.entries
    )
    statement = Statement(
        mine[0].format,
        next(iter(accounts), ""),
        entries,
        sum(one.pending for one in mine),
        tuple(row for one in mine for row in one.passed_over),
    )
    return OwnStatement(statement, tuple(_left_out(one) for one in others))


def _accounts_asked_for() -> set[str]:
    """Return every account that a customer was ever asked to pay into."""
    return set(DepositRequest.objects.order_by().values_list("payee__iban", flat=True).distinct()) - {
        None,
        "",
    }


def _left_out(other: Statement) -> LeftOut:
    return {"what": "account", "account": other.account, "count": len(other.entries)}
