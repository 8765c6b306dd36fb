"""The page of what is stuck, for reviewers and managers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.states import MANAGER, REVIEWER

from . import selectors, service


@staff(REVIEWER, MANAGER)
@require_safe
def stuck(request: HttpRequest) -> HttpResponse:
    """Show what is stuck, why, and since when."""
    rows = selectors.stuck()
    context = {"rows": rows, "count": selectors.count() if len(rows) == selectors.MOST else len(rows)}
    return render(request, "shop/stuck/stuck.html", context)


@staff(REVIEWER, MANAGER)
@require_POST
def again(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Try one again."""
    if service.try_again(entry_id):
        messages.success(request, _("It is tried again now."))
    else:
        messages.info(request, _("That is done meanwhile."))
    return redirect("shop:stuck")


@staff(REVIEWER, MANAGER)
@require_POST
def all_again(request: HttpRequest) -> HttpResponse:
    """Try all of it again."""
    count = service.try_all_again()
    said = ngettext("%(count)d is tried again now.", "%(count)d are tried again now.", count)
    messages.success(request, said % {"count": count})
    return redirect("shop:stuck")
