"""The page on which the workshop chooses how it is told."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from configurator.catalogue import workshop as workshops
from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import news
from .forms import NewsForm


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def told(request: HttpRequest) -> HttpResponse:
    """At once, once a day, or not."""
    now = news.setting()
    form = NewsForm(request.POST or None, initial={"when": now.when, "language": now.language})
    if request.method == "POST" and form.is_valid():
        news.choose(**form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect("shop:told")
    workshop = workshops.current()
    context = {"form": form, "to": workshop.email if workshop else ""}
    return render(request, "shop/messages/told.html", context, status=422 if form.errors else 200)
