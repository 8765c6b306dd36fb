"""Whether the customer agrees that their vehicle is shown among finished builds: asked on their page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shop.jobs.errors import JobError
from shop.jobs.models import Job
from shop.showcase import consent
from shop.showcase.models import FinishedBuild, ShowingConsent

from .access import by_link

Answer = ShowingConsent.Answer


@dataclass(frozen=True)
class Showing:
    """What was asked and answered; ``address`` is of the page that visitors see, where there is one."""

    question: str
    answer: str
    at: datetime | None
    address: str

    @property
    def stands(self) -> bool:
        """Whether the vehicle may be shown."""
        return self.answer == Answer.GIVEN


def showing_of(job: Job) -> Showing | None:
    """Return what a customer is asked after the handover, and said; nothing before it."""
    if not consent.may_ask(job):
        return None
    found = consent.latest(job)
    shown = FinishedBuild.objects.filter(job=job).exclude(published_at=None).first()
    return Showing(
        question=consent.question(),
        answer=found.answer if found else "",
        at=found.at if found else None,
        address=shown.address if shown else "",
    )


SAID = {
    Answer.GIVEN: lambda: _("Thank you. You can take this back here at any time."),
    Answer.DECLINED: lambda: _("Understood: your vehicle is not shown."),
    Answer.WITHDRAWN: lambda: _("Your consent is taken back: nothing of your vehicle is shown any more."),
}


@require_POST
@by_link
def showing(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take the customer's answer, or take it back."""
    answer = request.POST.get("answer", "")
    if answer in Answer.values:
        try:
            consent.answer_as_customer(job_id=job.pk, answer=answer)
        except JobError as error:
            messages.error(request, str(error))
        else:
            messages.success(request, SAID[Answer(answer)]())
    return redirect(reverse("tracking:job", args=[job.token]) + "#showing")
