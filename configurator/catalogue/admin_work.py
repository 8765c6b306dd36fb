"""Staff's pages of finishes, paint systems and recipes."""

from __future__ import annotations

from django.contrib import admin

from . import admin_forms as checked
from . import models as m
from .admin_base import CatalogueAdmin


class LayerInline(admin.TabularInline):
    """The coats of a paint system."""

    model = m.PaintLayer
    form = checked.PaintLayerForm
    extra = 0
    autocomplete_fields = ["item"]


class OperationInline(admin.TabularInline):
    """The steps of a recipe."""

    model = m.Operation
    form = checked.OperationForm
    extra = 0


class MaterialInline(admin.TabularInline):
    """What a recipe uses up."""

    model = m.Material
    form = checked.MaterialForm
    extra = 0
    autocomplete_fields = ["item"]


@admin.register(m.Finish)
class FinishAdmin(CatalogueAdmin):
    """Colours and sheens."""

    form = checked.FinishForm
    list_display = ["name", "code", "role", "hex", "sheen", "paint_code", "same_colour_as"]
    list_filter = ["role", "sheen"]
    list_select_related = ["same_colour_as"]
    search_fields = ["name", "code", "paint_code"]


@admin.register(m.PaintSystem)
class PaintSystemAdmin(CatalogueAdmin):
    """Paint systems with their coats."""

    form = checked.PaintSystemForm
    list_display = ["name", "code", "surface", "max_temperature_c"]
    search_fields = ["name", "code"]
    inlines = [LayerInline]


@admin.register(m.Recipe)
class RecipeAdmin(CatalogueAdmin):
    """Recipes with their steps and materials."""

    form = checked.RecipeForm
    list_display = ["name", "code", "covers"]
    list_filter = ["covers"]
    search_fields = ["name", "code", "operations__name"]
    inlines = [OperationInline, MaterialInline]
