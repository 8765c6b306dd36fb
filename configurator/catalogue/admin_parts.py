"""Staff's pages of suppliers, items and typed parts."""

from __future__ import annotations

from django.contrib import admin

from . import admin_forms as checked
from . import models as m
from .admin_base import CatalogueAdmin


@admin.register(m.Supplier)
class SupplierAdmin(CatalogueAdmin):
    """Where parts come from."""

    form = checked.SupplierForm
    list_display = ["name", "code", "town", "lead_time_days", "email"]
    search_fields = ["name", "code", "town"]


@admin.register(m.Item)
class ItemAdmin(CatalogueAdmin):
    """Everything that is bought."""

    form = checked.ItemForm
    list_display = ["name", "code", "supplier", "unit", "pack_size", "unit_cost", "unit_price", "returnable"]
    list_filter = ["supplier", "unit", "returnable"]
    list_select_related = ["supplier"]
    search_fields = ["name", "code", "supplier_ref"]


class PartAdmin(CatalogueAdmin):
    """Base of the typed parts: found by their item."""

    autocomplete_fields = ["item"]
    list_select_related = ["item"]
    search_fields = ["item__name", "item__code"]


@admin.register(m.Wheel)
class WheelAdmin(PartAdmin):
    """Wheels."""

    form = checked.WheelForm
    list_display = [
        "item",
        "design",
        "finish",
        "width_in",
        "diameter_in",
        "offset_mm",
        "bolt_circle_mm",
        "bore_mm",
        "load_rating_kg",
    ]
    list_filter = ["vehicle_class", "diameter_in", "bolt_circle_mm", "finish", "design"]
    list_select_related = ["item", "finish"]


@admin.register(m.Tyre)
class TyreAdmin(PartAdmin):
    """Tyres."""

    form = checked.TyreForm
    list_display = ["item", "maker", "designation", "vehicle_class"]
    list_filter = ["vehicle_class", "maker"]


@admin.register(m.Spacer)
class SpacerAdmin(PartAdmin):
    """Spacers."""

    form = checked.SpacerForm
    list_display = [
        "item",
        "thickness_mm",
        "kind",
        "bolt_count",
        "bolt_circle_mm",
        "bore_mm",
        "spigot_height_mm",
    ]
    list_filter = ["kind", "bolt_circle_mm", "thickness_mm"]


@admin.register(m.Fastener)
class FastenerAdmin(PartAdmin):
    """Wheel bolts and nuts."""

    form = checked.FastenerForm
    list_display = ["item", "kind", "locking", "thread", "shank_mm", "seat", "property_class", "finish"]
    list_filter = ["kind", "locking", "thread", "seat", "finish"]
    list_select_related = ["item", "finish"]


@admin.register(m.CentringRing)
class CentringRingAdmin(PartAdmin):
    """Centring rings."""

    form = checked.CentringRingForm
    list_display = ["item", "outer_mm", "inner_mm"]
