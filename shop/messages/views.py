"""The workshop's side of a job's conversation, and the mails that went out for it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shop.jobs.access import job_or_404, staff
from shop.jobs.errors import UnmetError, beside
from shop.jobs.models import Job
from shop.jobs.states import MANAGER, REVIEWER
from shop.jobs.views import job_context

from . import conversation, delivery
from .forms import StaffMessageForm


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def job_messages(request: HttpRequest, number: str) -> HttpResponse:
    """Show what was said about a job and take the workshop's next message."""
    job = job_or_404(request, number)
    address = reverse("shop:job_messages", args=[number])
    form = StaffMessageForm(request.POST or None, address=address)
    if request.method == "POST" and form.is_valid() and _written(request, job, form):
        return redirect(address + "#messages")
    conversation.mark_read(job, by_customer=False)
    context = {
        **job_context(request, job),
        "form": form,
        "said": job.messages.select_related("user"),
        "mails": job.mails.all(),
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "shop/messages/job.html", context, status=status)


def _written(request: HttpRequest, job: Job, form: StaffMessageForm) -> bool:
    data = form.cleaned_data
    try:
        conversation.write_as_workshop(
            job_id=job.pk, text=data["text"], press=data["press"], user=request.user
        )
    except UnmetError as error:
        beside(form, error)
        return False
    messages.success(request, _("The message is on its way."))
    return True


@staff(REVIEWER, MANAGER)
@require_POST
def mail_again(request: HttpRequest, number: str, mail_id: int) -> HttpResponse:
    """Try a mail again that was given up."""
    job = job_or_404(request, number)
    mail = get_object_or_404(job.mails, pk=mail_id)
    if delivery.try_again(mail.pk):
        messages.success(request, _("The mail is tried again."))
    return redirect("shop:job_messages", number)
