"""Telephone and mail address put right on the page of a job; a new address proved by its link."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from configurator.pages.bounded import again
from configurator.visitors.limiting import wait_for
from shop.jobs.errors import JobError
from shop.jobs.models import Job

from . import contact as reaching
from .access import by_link, is_preview, private
from .forms_contact import MailForm, PhoneForm
from .views import page_of


def _back(job: Job) -> HttpResponseBase:
    return redirect(reverse("tracking:job", args=[job.token]) + "#contact")


@require_POST
@by_link
def phone(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take another telephone number."""
    form = PhoneForm(request.POST, address=reverse("tracking:phone", args=[job.token]) + "#contact")
    if not form.is_valid():
        return page_of(request, job, status=400, phone_form=form)
    number = form.cleaned_data["phone"]
    if reaching.change_phone(job_id=job.pk, phone=number):
        done = _("Thank you. We call you at this number.")
        gone = _("We have no telephone number of yours any more.")
        messages.success(request, done if number else gone)
    return _back(job)


@require_POST
@by_link
def mail(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take another mail address, to be proved, or leave it as it is."""
    if "keep" in request.POST:
        if reaching.take_back(job_id=job.pk):
            messages.success(request, _("Your mail address stays as it was."))
        return _back(job)
    form = MailForm(request.POST, address=reverse("tracking:mail", args=[job.token]) + "#contact")
    if form.is_valid():
        # Counted by the job as well: else whoever has one could have us write to any number of people.
        often = wait_for("recipient", f"job {job.pk}")
        wait = often or wait_for("recipient", form.cleaned_data["email"].casefold())
        if not wait:
            row = reaching.ask(job_id=job.pk, email=form.cleaned_data["email"])
            said = _("This is the address that we have; it stays.")
            if row:
                said = _(
                    "We have written to the new address. Open the link in that mail: it counts from then."
                )
            messages.success(request, said)
            return _back(job)
        sentence = _("To this mail address as many mails went out as we send in one day.")
        if often:
            sentence = _("For this job as many new mail addresses were typed as we write to in one day.")
        form.add_error("email", f"{sentence} {again(wait)}")
        return page_of(request, job, status=429, mail_form=form)
    return page_of(request, job, status=400, mail_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def new_address(request: HttpRequest, token: str) -> HttpResponseBase:
    """Show which address a link proves; the button makes it count, and merely following links does not."""
    row = reaching.find(token)
    if row is None:
        raise Http404
    if request.method == "POST" and not is_preview(request):
        try:
            job = reaching.confirm(row_id=row.pk, email=row.email)
        except JobError as error:
            messages.error(request, str(error))
            return private(redirect("tracking:job", row.job.token))
        messages.success(request, _("Thank you. We write to this address from now on."))
        return private(redirect("tracking:job", job.token))
    context = {"row": row, "job": row.job, "preview": is_preview(request)}
    return private(render(request, "tracking/new_address.html", context))
