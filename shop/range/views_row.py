"""One row of the catalogue: added, copied, edited, retired, with its history."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue import drafts, field_words, history, words
from configurator.catalogue.describing import columns
from configurator.catalogue.kinds import Kind
from configurator.catalogue.overlay import Overlaid, drafted_rows
from configurator.catalogue.plain import Plain, key_of, live_row

from . import told
from .access import editable, edits, looks
from .forms import RowForm
from .profile import picture
from .texts_form import TextFields
from .views_lists import frame, kind_or_404

FIRST = ("code", "name", "summary", "reason", "maker", "family", "kind", "retired", "active")
BUYING = (
    "supplier", "supplier_ref", "unit", "pack_size", "unit_cost", "unit_price", "lead_time_days",
    "returnable", "mass_kg",
)  # fmt: skip


@edits
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, kind: str) -> HttpResponse:
    """Add a row; ``copy`` in the address names the one it begins as."""
    found = kind_or_404(kind)
    begin = _copied(found, request.GET.get("copy", ""))
    return _edit(request, found, "", drafts.Seen(None, None, None), begin)


def _copied(kind: Kind, key: str) -> Plain | None:
    row = drafts.look(drafts.shared(), kind.name, key).now if key else None
    if row is None:
        return None
    new = {**row, "code": f"{row['code']}-2"[:60]} if "code" in row else dict(row)
    if new.get("supplier_ref"):
        new["supplier_ref"] = ""  # each of a supplier's goods has a number of its own
    return {**new, "retired": False} if "retired" in new else new


@looks
@require_http_methods(["GET", "HEAD", "POST"])
def row(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Show one row as the draft has it and take what is changed."""
    found = kind_or_404(kind)
    seen = drafts.look(drafts.shared(), kind, key)
    if seen.now is None and seen.live is None:
        raise Http404
    return _edit(request, found, key, seen, None)


def _edit(request: HttpRequest, kind: Kind, key: str, seen: drafts.Seen, begin: Plain | None) -> HttpResponse:
    draft = drafts.shared()
    now = seen.now or seen.live
    texts = TextFields(kind, now, draft)
    may = editable(request.user, kind.name, kind.schema.model_fields)
    known = Overlaid(drafted_rows(draft.rows.exclude(kind=kind.name, key=key)) if draft else {})
    made: dict[str, Any] = {"kind": kind, "known": known, "may": may, "mark": seen.mark, "texts": texts}
    form = RowForm(now=now, **made)
    if begin is not None:
        form = RowForm(now=begin, **made)
        if "code" in form.fields:
            form.fields["code"].disabled = False
    if request.method == "POST":
        if not may:
            raise Http404
        if "unjudged" in request.POST:
            form = RowForm(now=now, unjudged=request.POST, **made)
        else:
            form = RowForm(request.POST, now=now, **made)
            if form.is_valid() and _kept(request, kind, key, form):
                return redirect("shop:range_rows", kind.name)
    return _page(request, kind, key, seen, form, begin)


def _kept(request: HttpRequest, kind: Kind, key: str, form: RowForm) -> bool:
    """Keep a judged row in the draft; whatever keeps it from that is said in the form."""
    assert form.row is not None  # noqa: S101 - it was judged right
    new_key = key_of(kind, form.row)
    if key and new_key != key:
        form.add_error(kind.schema.key_fields[-1], _("What names a row stays as it is; copy it instead."))
        return False
    if not key and drafts.look(drafts.shared(), kind.name, new_key).now is not None:
        form.add_error(kind.schema.key_fields[-1], _("‘%(key)s’ is there already.") % {"key": new_key})
        return False
    try:
        kept = drafts.keep(
            kind=kind.name,
            key=new_key,
            data=form.row,
            by=request.user,
            seen=request.POST.get("seen") if key else None,
        )
    except drafts.EditedMeanwhileError as error:
        _say_meanwhile(form, error)
        return False
    if form.texts is not None:
        form.texts.keep(form, request.user)
    name = told.row_name(kind.name, new_key, form.row)
    said = _("%(name)s is kept in the draft.") if kept else _("%(name)s is as it is live.")
    messages.success(request, said % {"name": name})
    return True


def _say_meanwhile(form: RowForm, error: drafts.EditedMeanwhileError) -> None:
    """Tell the second of two what the first has changed, and let a second press put theirs over it."""
    apart = told.changes(error.now, form.row)
    what = "; ".join(f"{one.what}: {one.before or '–'} ({one.after or '–'})" for one in apart)
    form.add_error(
        None,
        _(
            "%(who)s changed this row while you had it open. What it says now, yours in brackets: "
            "%(what)s. Save again to keep yours."
        )
        % {"who": error.who or _("Somebody"), "what": what or _("the whole row")},
    )
    typed: Any = form.data
    again = typed.copy()
    again["seen"] = drafts.mark_of(error.now)
    form.data = again


def _page(
    request: HttpRequest, kind: Kind, key: str, seen: drafts.Seen, form: RowForm, begin: Plain | None
) -> HttpResponse:
    context = {
        "kind": kind.name,
        "heading": words.HEADING[kind.name],
        "key": key,
        "name": told.row_name(kind.name, key, seen.now or seen.live) if key else "",
        "form": form,
        "groups": _groups(form),
        "pictures": _pictures(kind, form, seen.now or begin or {}),
        "texts": [form[name] for name in form.fields if name.startswith("text-")],
        "seen": seen,
        "changes": told.changes(seen.live, seen.now) if seen.row and seen.live and seen.now else [],
        "may_save": bool(form.may),
        "is_retired": bool((seen.now or {}).get("retired")) or (seen.now or {}).get("active") is False,
        "can_retire": bool({"retired", "active"} & set(kind.schema.model_fields)),
        "can_copy": "code" in kind.schema.model_fields,
        "clashes": [field_words.name_of(name) if name else _("the whole row") for name in seen.clashes],
        **frame(request),
    }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "shop/range/row.html", context, status=status)


def _groups(form: RowForm) -> list[tuple[str, list[Any]]]:
    """Return the form's plain fields in groups: what it is, how it is bought, the rest."""
    plain = [one.name for one in form.columns if not one.inner and not one.is_profile]
    first = [name for name in plain if name in FIRST]
    buying = [name for name in plain if name in BUYING and "unit_cost" in plain]
    rest = [name for name in plain if name not in first and name not in buying]
    found = [(_("What it is"), first), (_("Buying and selling"), buying), (_("Details"), rest)]
    return [(label, [form[name] for name in names]) for label, names in found if names]


def _pictures(kind: Kind, form: RowForm, row: Plain) -> list[tuple[Any, Any]]:
    around = {one.name: form[one.name].value() for one in form.columns if not one.inner}
    return [
        (picture(kind.name, one.name, str(form[one.name].value() or ""), {**row, **around}), form[one.name])
        for one in columns(kind.schema)
        if one.is_profile
    ]


@edits
@require_POST
def retire(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Retire a row in the draft, or bring it back."""
    kind_or_404(kind)
    seen = drafts.look(drafts.shared(), kind, key)
    if seen.now is None:
        raise Http404
    name = "active" if "active" in seen.now else "retired"
    if name not in seen.now:
        raise Http404
    drafts.keep(kind=kind, key=key, data={**seen.now, name: not seen.now[name]}, by=request.user)
    messages.success(request, _("It is changed in the draft."))
    return redirect("shop:range_row", kind, key)


@looks
@require_safe
def row_history(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Show who changed one row and what, newest first."""
    found = kind_or_404(kind)
    entries = history.of_row(kind, key)[:200]
    live = live_row(found, key)
    if live is None and not entries:
        raise Http404
    context = {
        "kind": kind,
        "key": key,
        "heading": words.HEADING[kind],
        "name": told.row_name(kind, key, live),
        "entries": [(one, told.changes(one.before, one.after)) for one in entries],
        **frame(request),
    }
    return render(request, "shop/range/history.html", context)
