"""The manager's page: what is kept about a customer, given out or forgotten."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shop.jobs.access import download, staff
from shop.jobs.states import MANAGER

from .exporting import export
from .finding import kept_about
from .forgetting import StillOpenError, forget
from .forms import FindForm, ForgetForm


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def privacy(request: HttpRequest) -> HttpResponse:
    """Look somebody up; by post, so that no address stands in a log."""
    form = FindForm(request.POST or None)
    kept = kept_about(form.cleaned_data["email"]) if request.method == "POST" and form.is_valid() else None
    asked = ForgetForm(initial={"email": kept.email}) if kept else None
    return _page(request, {"form": form, "kept": kept, "forget": asked}, 422 if form.errors else 200)


def _page(request: HttpRequest, context: dict[str, object], status: int = 200) -> HttpResponse:
    return render(request, "shop/privacy/privacy.html", context, status=status)


@staff(MANAGER)
@require_POST
def export_zip(request: HttpRequest) -> HttpResponse:
    """Give everything out as one file."""
    form = FindForm(request.POST)
    if not form.is_valid():
        return _page(request, {"form": form}, 422)
    return download(export(kept_about(form.cleaned_data["email"])), "everything.zip", "application/zip")


@staff(MANAGER)
@require_POST
def forget_customer(request: HttpRequest) -> HttpResponse:
    """Forget somebody for good."""
    form = ForgetForm(request.POST)
    kept = kept_about(str(request.POST.get("email", "")))
    if form.is_valid():
        try:
            done = forget(email=form.cleaned_data["email"], by=request.user, why=form.cleaned_data["why"])  # type: ignore[arg-type]
        except StillOpenError as error:
            form.add_error(None, _("These jobs are still open: %(jobs)s.") % {"jobs": error})
        else:
            count = len(done.specs) + len(done.requests)
            messages.success(request, _("Forgotten: %(n)s jobs, builds and requests.") % {"n": count})
            return redirect("shop:privacy")
    context = {"form": FindForm(initial={"email": kept.email}), "kept": kept, "forget": form}
    return _page(request, context, 422)
