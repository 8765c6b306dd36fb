"""What columns of several tables have in common: codes, colours, amounts, addresses for orders."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models

CODE_PATTERN = r"^[a-z0-9][a-z0-9.+-]*$"
CODE = RegexValidator(CODE_PATTERN, "Use lower-case letters, digits, dot, plus and dash.")
HEX = RegexValidator(r"^#[0-9a-f]{6}$", "Use a colour such as #a1b2c3.")
POSITIVE = MinValueValidator(Decimal(0))


def code_field() -> models.CharField:
    """Return the stable code by which files, specs and jobs name a row."""
    return models.CharField(max_length=60, unique=True, validators=[CODE])


def endpoint_field() -> models.CharField:
    """Return an electronic address for orders: scheme of the EAS code list, colon, identifier."""
    return models.CharField(
        max_length=60,
        blank=True,
        validators=[RegexValidator(r"^[0-9]{4}:[^\s:][^\s]*$", "Write scheme:identifier, as 9930:DE123.")],
        help_text="electronic address for orders, scheme:identifier, such as 9930:DE123456789",
    )


def retired_field() -> models.BooleanField:
    """Return the mark of a row that is offered no longer, and can be brought back."""
    return models.BooleanField(default=False, help_text="not offered any more; can be brought back")
