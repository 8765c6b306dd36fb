"""What all staff pages of the catalogue share: each change is a new version, or refused with reasons."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponseRedirect

from . import history, lint, stored, versions
from .models import CatalogueVersion


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
                _look_before(request)
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
                _look_before(request)
                return super().delete_view(request, object_id, extra_context)
        except ContradictionError as error:
            return self._kept(request, error)

    def changelist_view(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """List rows and run actions; a contradiction undoes the action and says why."""
        try:
            with transaction.atomic():
                _look_before(request)
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
        newest = CatalogueVersion.objects.first()
        made = versions.bump(note=f"{request.user.get_username()}: {what}")
        if newest is None or made.pk != newest.pk:
            before = getattr(request, "catalogue_before", {})
            changes = history.between(before, history.picture())
            history.record(made, history.Origin.PAGES, changes, by=request.user, title=what)


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


def _look_before(request: HttpRequest) -> None:
    """Remember what the catalogue says before a form is taken, so that its history can tell what changed."""
    if request.method == "POST":
        request.catalogue_before = history.picture()  # type: ignore[attr-defined]
