"""What other parts of the shop ask of money."""

from .account import Account, account
from .deposits import NoPriceError, make_deposit_request
from .ledger import PaymentError, book_payment, settle
from .undoing import undo_payment

__all__ = [
    "Account",
    "NoPriceError",
    "PaymentError",
    "account",
    "book_payment",
    "make_deposit_request",
    "settle",
    "undo_payment",
]
