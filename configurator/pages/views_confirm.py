"""A mail address proved by the link in a mail: until then a sent build waits."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from configurator.builds import confirming, sending, service
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import BUILD_LINK, Spec
from configurator.builds.models_sending import PendingSend
from configurator.catalogue import snapshot
from configurator.catalogue.workshop import currency_of

from .confirmed import remember_confirmed
from .sent import already_sent, onwards, remember_sent


@never_cache
@require_safe
def waiting(request: HttpRequest, token: str) -> HttpResponse:
    """Say that the link in the mail is the last step, and what to do when no mail came."""
    spec = get_object_or_404(Spec, BUILD_LINK.q(token))
    if spec.sent_at:
        return already_sent(request, spec)
    pending = PendingSend.objects.filter(spec=spec).first()
    if pending is None:
        return redirect("configurator:build", spec.token)
    return render(request, "configurator/waiting.html", {"spec": spec, "pending": pending})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def confirm(request: HttpRequest, token: str) -> HttpResponse:
    """Show what is about to be sent; the button sends it. What merely follows links sends nothing."""
    pending = confirming.find(token)
    if pending is None:
        raise Http404
    if pending.spec.sent_at:
        return already_sent(request, pending.spec)
    if request.method != "POST":
        return render(request, "configurator/confirm.html", _shown(pending))
    return _send(request, pending)


def _shown(pending: PendingSend) -> dict[str, object]:
    spec, catalogue = pending.spec, snapshot.current()
    evaluation = Evaluation.model_validate(spec.evaluation) if spec.evaluation else service.look_at(spec)
    return {
        "spec": spec,
        "pending": pending,
        "evaluation": evaluation,
        "currency": currency_of(catalogue.workshop),
    }


def _send(request: HttpRequest, pending: PendingSend) -> HttpResponse:
    remember_confirmed(request, pending.email)
    try:
        sent = confirming.confirm(pending)
    except (confirming.ChangedSinceError, sending.StaleBuildError, sending.NotSendableError):
        told = gettext(
            "Your address is confirmed. The build has changed since you sent it, so it was not sent yet: "
            "look at it once more and send it, it then goes at once."
        )
        messages.warning(request, told)
        return redirect("configurator:build", pending.spec.token)
    remember_sent(request, pending.spec, sent.next_url)
    return onwards(request, sent.next_url)
