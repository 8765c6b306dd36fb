"""The row of the workshop."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated

from pydantic import (
    Field,
    StringConstraints,
)

from . import models as m
from .row_types import Days, Endpoint
from .rows_base import Row

TaxRate = Annotated[Decimal, Field(ge=0, le=60, decimal_places=2, allow_inf_nan=False)]


class WorkshopRow(Row):
    tables = (m.Workshop,)
    name: str
    street: str
    postcode: str
    town: str
    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] = "DE"
    email: str
    phone: str
    tax_number: str = ""
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] = "EUR"
    tax_rate_pct: TaxRate
    tax_rate_from: date | None = None
    tax_rate_before_pct: TaxRate | None = None
    no_tax_why: Annotated[str, Field(max_length=200)] = ""
    labour_rate_per_h: Annotated[Decimal, Field(ge=0, le=9999, decimal_places=2, allow_inf_nan=False)]
    deposit_pct: Annotated[Decimal, Field(ge=0, le=100, decimal_places=2, allow_inf_nan=False)] = Decimal(30)
    deposit_due_days: Days = 7
    iban: str
    bic: str = ""
    hours_per_day: Annotated[Decimal, Field(gt=0, le=24, decimal_places=2, allow_inf_nan=False)] = Decimal(8)
    terms: Annotated[str, Field(max_length=20000)] = ""
    terms_version: str
    cancel_freely: bool = False
    answer_days: Days = 0
    privacy: Annotated[str, Field(max_length=20000)] = ""
    privacy_version: str = ""
    local_codes: Annotated[str, Field(max_length=5000)] = ""
    legal_name: str = ""
    endpoint: Endpoint = ""
    delivery_street: str = ""
    delivery_postcode: str = ""
    delivery_town: str = ""
    key_fields = ()
