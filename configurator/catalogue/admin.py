"""Staff edit the catalogue here; every change makes a new catalogue version."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from . import admin_forms as checked
from . import admin_options, admin_parts, admin_work
from . import models as m
from .admin_base import CatalogueAdmin

__all__ = ["admin_options", "admin_parts", "admin_work"]
"""Imported for their registrations."""


class AxleInline(admin.StackedInline):
    """Both axles of a generation."""

    model = m.Axle
    form = checked.AxleForm
    extra = 0
    max_num = 2


@admin.register(m.Workshop)
class WorkshopAdmin(CatalogueAdmin):
    """The one workshop: there is nothing to add or delete."""

    form = checked.WorkshopForm
    list_display = ["name", "town", "labour_rate_per_h", "tax_rate_pct", "deposit_pct", "terms_version"]

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Allow adding only the first."""
        return super().has_add_permission(request) and not m.Workshop.objects.exists()

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Never delete it."""
        return False


@admin.register(m.CatalogueVersion)
class CatalogueVersionAdmin(admin.ModelAdmin):
    """The record of versions, to read only."""

    list_display = ["number", "made_at", "note", "digest"]
    search_fields = ["note", "digest"]

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Versions come from changes."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Versions are never changed."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Specs and jobs refer to them."""
        return False


@admin.register(m.CatalogueText)
class CatalogueTextAdmin(CatalogueAdmin):
    """What the catalogue says in other languages."""

    list_display = ["text", "language", "kind", "code", "field"]
    list_filter = ["language", "kind", "field"]
    search_fields = ["text", "source", "code"]


@admin.register(m.Maker)
class MakerAdmin(CatalogueAdmin):
    """Vehicle makers."""

    form = checked.MakerForm
    list_display = ["name", "code"]
    search_fields = ["name", "code"]


@admin.register(m.Generation)
class GenerationAdmin(CatalogueAdmin):
    """Vehicle generations with their axles."""

    form = checked.GenerationForm
    list_display = ["name", "maker", "code", "body_style", "rear_doors", "category", "year_from", "year_to"]
    list_filter = ["maker", "body_style", "category"]
    list_select_related = ["maker"]
    search_fields = ["name", "code", "maker__name"]
    filter_horizontal = ["body_finishes"]
    inlines = [AxleInline]
