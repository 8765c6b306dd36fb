"""Pages of lists: all kinds, one kind, and what is done to several rows at once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from configurator.builds import ready_looks
from configurator.catalogue import drafts, field_words, snapshot, words, workshop
from configurator.catalogue.kinds import Kind
from configurator.catalogue.plain import kind_of, table_of

from . import lists
from .access import looks, may_edit_all
from .bulk import BulkForm, change_many

MORE = (
    "axles",
    "families",
    "paint_systems",
    "paint_layers",
    "makers",
    "generations",
    "centring_rings",
    "items",
)


def kind_or_404(name: str) -> Kind:
    """Return the kind that an address names."""
    if name not in lists.KINDS:
        raise Http404
    return kind_of(name)


@looks
@require_safe
def overview(request: HttpRequest) -> HttpResponse:
    """Show every kind with how many rows it has."""
    kinds = [
        (name, words.HEADING[name], table_of(kind_of(name))._default_manager.count()) for name in lists.KINDS
    ]
    context = {
        "main": [one for one in kinds if one[0] not in MORE],
        "more": [one for one in kinds if one[0] in MORE],
        **frame(request),
    }
    return render(request, "shop/range/overview.html", context)


@looks
@require_http_methods(["GET", "HEAD", "POST"])
def rows(request: HttpRequest, kind: str) -> HttpResponse:
    """List the rows of one kind; do something to several of them."""
    found = kind_or_404(kind)
    asked = lists.wanted(found, request.GET)
    form = BulkForm(request.POST or None, kind=found, user=request.user)
    if request.method == "POST" and form.is_valid():
        done, left = change_many(found, asked, form.cleaned_data, request)
        said = ngettext("%(n)s row is changed in the draft.", "%(n)s rows are changed in the draft.", done)
        messages.success(request, said % {"n": done})
        for key, why in left[:5]:
            messages.warning(request, f"{key}: {why}")
        return redirect(request.get_full_path())
    return _list(request, found, asked, form, status=422 if form.is_bound and form.errors else 200)


def _list(request: HttpRequest, kind: Kind, asked: lists.Wanted, form: Any, status: int) -> HttpResponse:
    draft = drafts.shared()
    page, lines = lists.page_of(kind, asked, request.GET.get("page"), draft)
    kept = request.GET.copy()
    kept.pop("page", None)
    plain = kept.copy()
    plain.pop("sort", None)
    names = lists.headings(kind)
    currency = workshop.currency()
    context = {
        "kind": kind.name,
        "heading": words.HEADING[kind.name],
        "columns": [
            (name, field_words.name_of(name), field_words.unit_of(name), _sorted(asked, name))
            for name in names
        ],
        "labels": [field_words.name_of(name) for name in names],
        "lines": [(one, _shown(one, currency)) for one in lines],
        "page": page,
        "kept": kept.urlencode(),
        "plain": plain.urlencode(),
        "asked": asked,
        "filters": [
            (name, label, choices, dict(asked.filters).get(name, ""))
            for name, label, choices in lists.filter_choices(kind)
        ],
        "is_narrowed": bool(asked.q or asked.filters or asked.state != "offered"),
        "bulk": form,
        "may_add": may_edit_all(request.user),
        "is_goods": kind.name in lists.GOODS,
        **frame(request, draft),
    }
    return render(request, "shop/range/rows.html", context, status=status)


def _sorted(asked: lists.Wanted, name: str) -> str:
    """Return the sorting that a column's heading leads to: up first, then down."""
    return f"-{name}" if asked.sort == name else name


def _shown(line: lists.Line, currency: str) -> list[tuple[str, Any]]:
    return [
        ("money" if isinstance(cell, lists.Money) else "num" if isinstance(cell, float | int) else "", cell)
        for cell in line.cells
    ]


def frame(request: HttpRequest, draft: Any = None) -> dict[str, Any]:
    """Return what every page of the catalogue shows around it: the open draft and who may do what."""
    draft = draft or drafts.shared()
    return {
        "draft": draft,
        "drafted": draft.rows.count() if draft else 0,
        "may_edit": may_edit_all(request.user),
        "currency": workshop.currency(),
        "fallen_looks": len(ready_looks.fallen(snapshot.current())),
        "back": reverse("shop:range"),
    }
