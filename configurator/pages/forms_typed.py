"""Fields that people type or paste into: what nobody sees of it is put right before it is judged."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.formats import get_format
from django.utils.translation import gettext_lazy as _

PHONE = RegexValidator(
    r"^(?=(?:\D*\d){5})[0-9+()/. -]{5,40}$",
    _("Write a telephone number in figures, such as +49 171 39200 23."),
)


def plain_phone(text: str) -> str:
    """Return a number in plain figures: pasted, it holds other blanks and dashes and marks nobody sees."""
    shown = (c for c in unicodedata.normalize("NFKC", text) if unicodedata.category(c) != "Cf")
    return " ".join("".join(map(_plain, shown)).split())


def _plain(character: str) -> str:
    if character.isdecimal():
        return str(unicodedata.decimal(character))
    return "-" if unicodedata.category(character) == "Pd" or character == "\u2212" else character


class PhoneField(forms.CharField):
    """A telephone number as people write it."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"type": "tel", "autocomplete": "tel"}))
        super().__init__(validators=[PHONE], **kwargs)

    def to_python(self, value: Any) -> str:
        """Return it in plain figures."""
        return plain_phone(super().to_python(value) or "")


class LongTextField(forms.CharField):
    """Some lines by a person: a line's end counts once, as the browser that holds to the length counts it."""

    def __init__(self, *, rows: int = 4, **kwargs: Any) -> None:
        widget = forms.Textarea(attrs={"rows": rows, "maxlength": kwargs["max_length"]})
        super().__init__(widget=widget, **kwargs)

    def to_python(self, value: Any) -> str:
        """Return the lines with one character between them."""
        return one_line_end(super().to_python(value) or "")


def one_line_end(text: str) -> str:
    """Return a text with one character where a browser posts two."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


class AmountField(forms.DecimalField):
    """An amount of money as people write it in the reader's language, with or without marks at the thousands.

    One or two digits after the mark that parts thousands are cents: ``450,5`` is no four and a half thousand.
    """

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(localize=True, **kwargs)

    def to_python(self, value: Any) -> Any:
        """Return the amount."""
        thousands, cents = get_format("THOUSAND_SEPARATOR"), get_format("DECIMAL_SEPARATOR")
        text, mark = str(value or "").strip(), re.escape(thousands)
        if re.fullmatch(rf"\d+{mark}\d{{1,2}}", text):
            text = text.replace(thousands, cents)
        elif re.fullmatch(rf"\d{{1,3}}({mark}\d{{3}})+({re.escape(cents)}\d*)?", text):
            text = text.replace(thousands, "")
        return super().to_python(text)
