"""The one word of an account, in the reader's language."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext_lazy as _

register = template.Library()
WORDS = {
    "none": _("nothing asked"),
    "open": _("open"),
    "overdue": _("overdue"),
    "part paid": _("part paid"),
    "overpaid": _("overpaid"),
    "paid": _("paid"),
}


@register.filter
def money_word(word: str) -> str:
    """Return where an account stands, such as ``part paid``."""
    return str(WORDS.get(word, word))
