"""The draft and the versions: looked at, tried, put live, thrown away, taken back."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.catalogue import drafts, field_words, going_live, history, snapshot, words
from configurator.catalogue.going_live import NotLiveError
from configurator.catalogue.models_changes import Draft, Release
from configurator.pages.told import told as name_of

from . import list_back, lists, told
from .access import edits, looks, may_edit_all, may_put_live
from .trying import newly_fallen, try_draft
from .views_lists import frame

PAGE = 50
ROWS = 300


@looks
@require_safe
def draft(request: HttpRequest) -> HttpResponse:
    """Show what the open draft changes and what keeps it from going live."""
    found = drafts.shared()
    context = {**_draft(request, found), "flaws": _flaws(found)}
    return render(request, "shop/range/draft.html", context)


def _draft(request: HttpRequest, found: Draft | None) -> dict[str, Any]:
    rows = []
    changes = []
    for one in found.rows.select_related("by")[:ROWS] if found else ():
        seen = drafts.laid_over(one, drafts.live(one.kind, one.key))
        changes.append((seen.live, seen.now))
        rows.append(
            {
                "row": one,
                "kind": words.HEADING[one.kind],
                "name": told.row_name(one.kind, one.key, seen.now or seen.live),
                "changes": told.changes(seen.live, seen.now) if seen.live and seen.now else [],
                "state": "new" if seen.live is None else "gone" if seen.now is None else "changed",
                "has_page": one.kind in lists.KINDS,
            }
        )
    return {
        **frame(request, found),
        "rows": rows,
        "seen": drafts.mark_of_draft(found) if found else "",
        "title": request.POST.get("title", ""),
        "may_put_live": may_put_live(request.user, changes),
    }


def _grown(request: HttpRequest, found: Draft) -> HttpResponse:
    """Show what the draft holds by now to who ended what they had seen of it."""
    messages.error(
        request, _("The draft was changed since you opened this page. Look at it, then press again.")
    )
    context = {**_draft(request, found), "flaws": _flaws(found)}
    return render(request, "shop/range/draft.html", context, status=409)


def _flaws(found: Draft | None) -> list[dict[str, str]]:
    if found is None:
        return []
    return _said(going_live.check(found, going_live.merge(found)))


def _said(flaws: Any) -> list[dict[str, str]]:
    return [
        {
            "kind": str(words.HEADING.get(one.kind, "")),
            "key": one.key,
            "field": field_words.name_of(one.field) if one.field else "",
            "message": one.message,
        }
        for one in sorted(flaws)
    ]


@looks
@require_safe
def try_out(request: HttpRequest) -> HttpResponse:
    """Show what open builds and unconfirmed jobs would say with the draft."""
    found = drafts.shared()
    if found is None:
        return redirect("shop:range_draft")
    try:
        answer = try_draft(found)
    except NotLiveError as error:
        context = {**_draft(request, found), "flaws": _said(error.flaws)}
        return render(request, "shop/range/draft.html", context)
    return render(request, "shop/range/tried.html", {"answer": answer, **frame(request, found)})


@looks
@require_POST
def put_live(request: HttpRequest) -> HttpResponse:
    """Put the draft live as one version, or say what stands against it."""
    found = drafts.shared()
    if found is None:
        messages.info(request, _("There is no draft any more: somebody was quicker."))
        return redirect("shop:range_draft")
    merged = going_live.merge(found)
    if not may_put_live(request.user, [(one.live, one.now) for one in merged]):
        raise PermissionDenied(_("This draft changes more than prices: a manager puts it live."))
    before = snapshot.current()
    try:
        release = going_live.put_live(
            draft_id=found.pk,
            by=request.user,
            title=request.POST.get("title", "").replace("\x00", "")[:200],
            seen=request.POST.get("seen"),
        )
    except drafts.GrownDraftError:
        return _grown(request, found)
    except NotLiveError as error:
        messages.error(request, _("It is not live: something stands against it."))
        context = {**_draft(request, found), "flaws": _said(error.flaws)}
        return render(request, "shop/range/draft.html", context, status=422)
    except drafts.ClosedDraftError:
        messages.info(request, _("There is no draft any more: somebody was quicker."))
        return redirect("shop:range_draft")
    if release is None:
        messages.info(request, _("Nothing differed from what is live."))
        return redirect("shop:range_draft")
    messages.success(request, _("It is live as version %(number)s.") % {"number": release.version.number})
    for one in newly_fallen(before, snapshot.current()):
        said = _("The look “%(look)s” no longer stands and is not offered: choose it anew under Looks.")
        messages.warning(request, said % {"look": name_of(one.look.name)})
    return redirect("shop:range_version", release.pk)


@edits
@require_POST
def throw_away(request: HttpRequest) -> HttpResponse:
    """Throw the open draft away."""
    found = drafts.shared()
    if found is not None:
        try:
            drafts.throw_away(draft_id=found.pk, by=request.user, seen=request.POST.get("seen"))
        except drafts.GrownDraftError:
            return _grown(request, found)
        messages.success(request, _("The draft is thrown away; what is live stays as it is."))
    return redirect("shop:range_draft")


@looks
@require_POST
def drop(request: HttpRequest, row_id: int) -> HttpResponse:
    """Take one row out of the draft; a buyer only one of their own."""
    found = drafts.shared()
    row = found.rows.filter(pk=row_id).first() if found else None
    if found is None or row is None:
        messages.info(request, _("That row is not in the draft any more."))
    elif not may_edit_all(request.user) and row.by != request.user:
        raise PermissionDenied(_("Somebody else put this row into the draft."))
    else:
        drafts.drop(draft_id=found.pk, kind=row.kind, key=row.key)
        messages.success(request, _("It is out of the draft and stays as it is live."))
    return redirect("shop:range_draft")


@looks
@require_safe
def versions(request: HttpRequest) -> HttpResponse:
    """List how the versions came about, newest first."""
    page = Paginator(history.releases(), PAGE).get_page(request.GET.get("page"))
    return render(request, "shop/range/versions.html", {"page": page, "kept": "", **frame(request)})


@looks
@require_safe
def version(request: HttpRequest, release_id: int) -> HttpResponse:
    """Show what one version changed."""
    found = get_object_or_404(history.releases(), pk=release_id)
    return render(request, "shop/range/version.html", _version(request, found))


def _version(request: HttpRequest, found: Release) -> dict[str, Any]:
    page = Paginator(found.changes.all(), PAGE).get_page(request.GET.get("page"))
    rows = [
        {
            "kind": words.HEADING[one.kind],
            "name": told.row_name(one.kind, one.key, one.after or one.before, one.name),
            "key": one.key,
            "kind_name": one.kind,
            "has_page": one.kind in lists.KINDS,
            "changes": told.changes(one.before, one.after) if one.before and one.after else [],
            "state": "new" if one.before is None else "gone" if one.after is None else "changed",
        }
        for one in page.object_list
    ]
    return {"release": found, "page": page, "rows": rows, "kept": "", **frame(request)}


@edits
@require_POST
def take_back(request: HttpRequest, release_id: int) -> HttpResponse:
    """Put back what a version changed, as a new version."""
    found = get_object_or_404(history.releases(), pk=release_id)
    try:
        made, goes_on = list_back.take_back(release_id=found.pk, by=request.user)
    except NotLiveError as error:
        context = {**_version(request, found), "flaws": _said(error.flaws)}
        return render(request, "shop/range/version.html", context, status=422)
    if goes_on:
        said = _("The list is being taken back; that takes a minute or two. The version appears here.")
        messages.info(request, said)
        return redirect("shop:range_versions")
    if made is None:
        messages.info(request, _("Nothing differed from what is live."))
        return redirect("shop:range_version", found.pk)
    messages.success(request, _("It is live as version %(number)s.") % {"number": made.version.number})
    return redirect("shop:range_version", made.pk)
