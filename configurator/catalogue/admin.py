"""Staff edit the catalogue here; every change makes a new catalogue version."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path

from . import admin_forms as checked
from . import lint, snapshot, stored, versions
from . import models as m


class ContradictionError(Exception):
    """A change after which some vehicle has no valid build; ``reasons`` are for staff."""

    def __init__(self, reasons: list[str]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


class CatalogueAdmin(admin.ModelAdmin):
    """Base of all catalogue pages: what is saved or deleted becomes a new version at once.

    A change that leaves the rules in contradiction is undone; the form comes back as it was typed.
    """

    list_per_page = 50

    def changeform_view(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
        """Show and save the form; a contradiction shows it again with the reasons on top."""
        try:
            with transaction.atomic():
                return super().changeform_view(request, *args, **kwargs)
        except ContradictionError as error:
            request.contradictions = error.reasons  # type: ignore[attr-defined]
            return super().changeform_view(request, *args, **kwargs)

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        """Return the form, one that refuses with the reasons after a contradiction."""
        form = super().get_form(request, obj, change, **kwargs)
        reasons = getattr(request, "contradictions", ())
        return refusing(form, reasons) if reasons else form

    def delete_view(self, request: HttpRequest, object_id: str, extra_context: Any = None) -> Any:
        """Delete a row; a contradiction keeps it and says why."""
        try:
            with transaction.atomic():
                return super().delete_view(request, object_id, extra_context)
        except ContradictionError as error:
            return self._kept(request, error)

    def changelist_view(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """List rows and run actions; a contradiction undoes the action and says why."""
        try:
            with transaction.atomic():
                return super().changelist_view(request, extra_context)
        except ContradictionError as error:
            return self._kept(request, error)

    def _kept(self, request: HttpRequest, error: ContradictionError) -> HttpResponseRedirect:
        for reason in error.reasons:
            self.message_user(request, f"Nothing was deleted. {reason}", messages.ERROR)
        return HttpResponseRedirect(request.get_full_path().split("?")[0].replace("/delete/", "/change/"))

    def save_related(self, request: HttpRequest, form: Any, formsets: Any, change: bool) -> None:
        """Save the row with its inlines, then note the new version."""
        super().save_related(request, form, formsets, change)
        reasons = list(dict.fromkeys(stored.problems_of(form.instance)))
        if reasons:
            raise ContradictionError(reasons)
        self._bump(request, f"{'changed' if change else 'added'} {form.instance}")

    def delete_model(self, request: HttpRequest, obj: Any) -> None:
        """Delete one row, then note the new version."""
        super().delete_model(request, obj)
        self._bump(request, f"deleted {obj}")

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> None:
        """Delete several rows, then note the new version."""
        super().delete_queryset(request, queryset)
        self._bump(request, f"deleted {self.opts.verbose_name_plural}")

    def _bump(self, request: HttpRequest, what: str) -> None:
        reasons = [row.message for row in lint.of_tables()]
        if reasons:
            raise ContradictionError(reasons)
        versions.bump(note=f"{request.user.get_username()}: {what}")


def refusing(form: type[forms.ModelForm], reasons: Iterable[str]) -> type[forms.ModelForm]:
    """Return the form with a clean method that adds the reasons above it."""

    class Refused(form):  # type: ignore[valid-type,misc]
        def clean(self) -> Any:
            """Refuse with the reasons."""
            data = super().clean()
            for reason in reasons:
                self.add_error(None, reason)
            return data

    return Refused


class LayerInline(admin.TabularInline):
    """The coats of a paint system."""

    model = m.PaintLayer
    form = checked.PaintLayerForm
    extra = 0
    autocomplete_fields = ["item"]


class AxleInline(admin.StackedInline):
    """Both axles of a generation."""

    model = m.Axle
    form = checked.AxleForm
    extra = 0
    max_num = 2


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


@admin.register(m.Recipe)
class RecipeAdmin(CatalogueAdmin):
    """Recipes with their steps and materials."""

    form = checked.RecipeForm
    list_display = ["name", "code", "covers"]
    list_filter = ["covers"]
    search_fields = ["name", "code", "operations__name"]
    inlines = [OperationInline, MaterialInline]


@admin.register(m.Family)
class FamilyAdmin(CatalogueAdmin):
    """Questions that options answer."""

    form = checked.FamilyForm
    list_display = ["name", "code", "kind", "limit", "section", "position"]
    list_filter = ["section", "kind"]
    search_fields = ["name", "code"]


@admin.register(m.Option)
class OptionAdmin(CatalogueAdmin):
    """What a customer can choose."""

    form = checked.OptionForm
    list_display = ["name", "code", "family", "kind", "item", "recipe", "paint_system"]
    list_filter = ["kind", "family", "generations", "paint_system"]
    list_select_related = ["family", "item", "recipe", "paint_system"]
    search_fields = ["name", "code", "summary"]
    filter_horizontal = ["generations"]
    autocomplete_fields = ["item", "recipe"]


@admin.register(m.Rule)
class RuleAdmin(CatalogueAdmin):
    """What goes together; unknown words are refused beside the field."""

    form = checked.RuleForm
    list_display = ["code", "kind", "reason", "active"]
    list_filter = ["kind", "active", "generations"]
    search_fields = ["code", "reason", "if_all", "then_any"]
    filter_horizontal = ["generations"]
    change_list_template = "admin/configurator/rule/change_list.html"

    def get_urls(self) -> list[URLPattern]:
        """Add the page of findings."""
        page = path("lint/", self.admin_site.admin_view(self.lint_view), name="configurator_rule_lint")
        return [page, *super().get_urls()]

    def lint_view(self, request: HttpRequest) -> TemplateResponse:
        """Show what the rules leave impossible or idle, contradictions first."""
        if not self.has_view_permission(request):
            raise PermissionDenied
        catalogue = snapshot.current()
        context = {
            **self.admin_site.each_context(request),
            "title": "What the rules leave impossible or idle",
            "opts": self.opts,
            "rows": lint.lint(catalogue),
            "version": catalogue.version,
        }
        return TemplateResponse(request, "admin/configurator/rule/lint.html", context)
