"""What other parts of the shop ask of money."""

from .deposits import NoPriceError, make_deposit_request
from .ledger import Account, PaymentError, account, book_payment, deposit_is_covered, settle, undo_payment

__all__ = [
    "Account",
    "NoPriceError",
    "PaymentError",
    "account",
    "book_payment",
    "deposit_is_covered",
    "make_deposit_request",
    "settle",
    "undo_payment",
]
