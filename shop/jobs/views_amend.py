"""The workshop changes a build: chosen on the customer's own page, looked at here with all that follows."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from configurator.builds.evaluation import Evaluation

from . import changes
from .access import job_or_404, staff
from .amend import amend, what_stands_against
from .copies import begin_copy, can_choose, chosen, copy_of
from .difference import offer as describe
from .entering import Written
from .errors import JobError, beside
from .evaluations import evaluation_of
from .models import Job
from .models_lines import JobLine
from .press import PressForm
from .refusing import out_of_place
from .signals import answers_about, bought_in_vain
from .states import AMENDABLE, MANAGER, REVIEWER
from .views import job_context


class AmendForm(PressForm):
    """Why a build is changed, and what is charged of what was bought for the old one."""

    why = forms.CharField(
        label=_("Why is it changed?"),
        help_text=_("The customer reads this beside the change."),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    charge = forms.BooleanField(label=_("Charge what was bought in vain"), required=False, initial=True)
    tell = forms.BooleanField(
        label=_("Ask the customer by mail"), required=False, initial=True,
        help_text=_("Without it you ask by telephone and record the answer under Lines and changes."),
    )  # fmt: skip
    version = forms.IntegerField(
        required=False, min_value=1, max_value=2_000_000_000, widget=forms.HiddenInput
    )


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, number: str) -> HttpResponse:
    """Show what was chosen on the copy and what comes of it; make a revision of it, or propose it."""
    found = job_or_404(request, number)
    if not (found.state in AMENDABLE or found.state in changes.CHANGEABLE):
        messages.error(
            request,
            gettext("%(number)s cannot be changed now. %(why)s")
            % {"number": found.number, "why": gettext("Take it into review first.")},
        )
        return redirect("shop:job", number)
    if not can_choose(found):
        messages.info(request, gettext("The catalogue does not have this vehicle: change its lines."))
        return redirect("shop:changes", number)
    if request.POST.get("do") == "begin":
        copy = begin_copy(found, request.LANGUAGE_CODE)
        return redirect("configurator:build", copy.token)
    form = AmendForm(request.POST if request.method == "POST" else None, initial={"version": found.version})
    if request.method != "POST":
        return _show(request, found, form, 200)
    return _take(request, found, form)


def _wanted(found: Job) -> tuple[changes.Wanted, Evaluation] | None:
    """Return what is chosen on the copy with the evaluation it gives, or nothing without a copy."""
    copy = copy_of(found)
    if copy is None:
        return None
    wanted = changes.Wanted(selection=chosen(copy))
    return wanted, changes.offered_build(found, wanted)


def in_vain(found: Job, evaluation: Evaluation) -> list[tuple[str, Decimal]]:
    """Return what was bought for the job and is not in the other build."""
    if found.state in AMENDABLE:
        return []
    return [row for rows in answers_about(bought_in_vain, found, evaluation=evaluation) for row in rows]


def _take(request: HttpRequest, found: Job, form: AmendForm) -> HttpResponse:
    offer = _wanted(found)
    if offer is None:
        why = Exception(
            gettext("Nothing is chosen for the build as it is now: choose on the customer’s page.")
        )
        return _show(request, found, form, 409, **out_of_place(why, str(request.POST.get("why", ""))))
    if not form.is_valid():
        return _show(request, found, form, 422)
    try:
        did = _store(request, found, form.cleaned_data, *offer)
    except JobError as error:
        beside(form, error)
        return _show(request, found, form, error.status)
    found.refresh_from_db()
    return _done(request, found, did)


def _store(
    request: HttpRequest, found: Job, data: dict[str, Any], wanted: changes.Wanted, evaluation: Evaluation
) -> bool:
    by: Any = request.user
    assert wanted.selection is not None  # noqa: S101 - a copy has one
    if found.state in AMENDABLE:
        return amend(
            job_id=found.pk, selection=wanted.selection, by=by, why=data["why"], version=data["version"]
        )
    lost = in_vain(found, evaluation) if data["charge"] else []
    add = tuple(
        Written(gettext("Bought for the earlier version: %(what)s") % {"what": label}, amount,
                kind=JobLine.Kind.CHARGE)
        for label, amount in lost
    )  # fmt: skip
    changes.propose(
        job_id=found.pk,
        wanted=changes.Wanted(add=add, selection=wanted.selection),
        why=data["why"],
        by=by,
        press=data["press"],
        tell=data["tell"],
        version=data["version"],
    )
    return True


def _done(request: HttpRequest, found: Job, did: bool) -> HttpResponse:
    if not did:
        messages.info(request, gettext("Nothing was changed."))
        return redirect("shop:review", found.number)
    if found.state in AMENDABLE:
        messages.success(
            request,
            gettext("Revision %(number)s is made. Confirm it to ask the customer for their yes.")
            % {"number": found.revision.number},
        )
        return redirect("shop:review", found.number)
    said = gettext("It is proposed. Nothing of it is done before the customer says yes.")
    messages.success(request, said)
    return redirect("shop:changes", found.number)


def _show(request: HttpRequest, found: Job, form: AmendForm, status: int, **more: Any) -> HttpResponse:
    now, copy, offer = evaluation_of(found.revision), copy_of(found), _wanted(found)
    then = offer[1] if offer else now
    context = job_context(request, found) | {
        "here": gettext("Change the build"),
        "form": form,
        "copy_address": reverse("configurator:build", args=[copy.token]) if copy else "",
        "now": now,
        "then": then,
        "offer": describe(now, then),
        "in_vain": in_vain(found, then) if offer else [],
        "against": "" if then.sendable else what_stands_against(then),
        "in_review": found.state in AMENDABLE,
    }
    return render(request, "shop/jobs/amend.html", context | more, status=status)
