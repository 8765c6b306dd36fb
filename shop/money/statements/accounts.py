"""Whether an account number, however a bank writes it, is the workshop's."""

from __future__ import annotations

import re

MIN_DIGITS = 6
"""Fewer digits are no account number, so they match nothing."""


def plain(number: str) -> str:
    """Return an account number in capitals without what is no letter or digit."""
    return re.sub(r"[^0-9A-Z]", "", number.upper())


def is_account(told: str, iban: str) -> bool:
    """Tell whether ``told`` (an IBAN or a domestic number) is the account of ``iban``.

    A domestic number is compared with the end of the IBAN, where ISO 13616 puts the account, leading
    noughts apart; a bank code before it, parted by a slash or hyphen, has to be in the IBAN too. A
    currency code behind it (common in MT940) does not matter.
    """
    own = plain(iban)
    number = plain(told)
    if not number or number == own:
        return bool(number)
    if re.match(r"[A-Z]{2}[0-9]{2}", number):
        # Some banks put the currency behind the IBAN too.
        return bool(own) and number[:-3] == own and number[-3:].isalpha()
    code, _, account = told.strip().upper().rpartition("/")
    account = re.sub(r"[A-Z]{3}$", "", plain(account)).lstrip("0")
    digits = own[4:]
    if plain(code) and plain(code) not in own:
        return False
    return (len(account) >= MIN_DIGITS and digits.endswith(account)) or number in {digits, digits.lstrip("0")}
