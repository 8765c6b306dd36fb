"""Django looks for admin pages here; they live with the catalogue."""

from .catalogue import admin

__all__ = ["admin"]
