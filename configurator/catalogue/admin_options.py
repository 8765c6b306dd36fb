"""Staff's pages of what a customer chooses from, and of the rules."""

from __future__ import annotations

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.template.response import TemplateResponse
from django.urls import URLPattern, path

from . import admin_forms as checked
from . import lint, snapshot
from . import models as m
from .admin_base import CatalogueAdmin


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
