"""The one workshop that runs this site, and the currency it reckons in: asked for here and nowhere else."""

from __future__ import annotations

from .models import Workshop

DEFAULT_CURRENCY = "EUR"
"""ISO 4217 code that stands until a catalogue names the workshop's own."""


def current() -> Workshop | None:
    """Return the workshop, or nothing before a catalogue was loaded."""
    return Workshop.objects.first()


def currency_of(workshop: Workshop | None) -> str:
    """Return the ISO 4217 code that this workshop reckons in."""
    return workshop.currency if workshop else DEFAULT_CURRENCY


def currency() -> str:
    """Return the ISO 4217 code that prices, orders and payments are in."""
    return currency_of(current())


def texts_now(workshop: Workshop | None) -> dict[str, str]:
    """Return the versions of the texts that sending agrees to: ``terms_version`` and ``privacy_version``."""
    return {name: getattr(workshop, name, "") for name in ("terms_version", "privacy_version")}
