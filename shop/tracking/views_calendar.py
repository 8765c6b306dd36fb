"""The workshop's dates in one's own calendar program: the page for staff, and what the program reads."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.roles import roles_of

from .access import private
from .calendar_entries import jobs_with_dates
from .calendar_file import workshop_file
from .models import CALENDAR_LINK, CalendarAddress


@staff()
@require_safe
def calendar_page(request: HttpRequest) -> HttpResponseBase:
    """Show one's own address, or offer to make one."""
    address = CalendarAddress.objects.filter(user=_person(request)).first()
    link = settings.SITE_URL.rstrip("/") + reverse("calendar", args=[address.token]) if address else ""
    return private(render(request, "shop/calendar.html", {"address": address, "link": link}))


@staff()
@require_POST
def calendar_new(request: HttpRequest) -> HttpResponse:
    """Make an address, or a new one in place of the old, which then opens nothing any more."""
    CalendarAddress.objects.filter(user=_person(request)).delete()
    CalendarAddress.objects.update_or_create(
        user=_person(request), defaults={"language": get_language() or settings.LANGUAGE_CODE}
    )
    messages.success(request, _("Your calendar has a new private address."))
    return redirect("shop:calendar")


@staff()
@require_POST
def calendar_end(request: HttpRequest) -> HttpResponse:
    """Take the address back."""
    CalendarAddress.objects.filter(user=_person(request)).delete()
    messages.success(request, _("The address is taken back: it opens nothing any more."))
    return redirect("shop:calendar")


@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponseBase:
    """Give the workshop's dates to whoever holds a live address of somebody who still works here."""
    address = CalendarAddress.objects.select_related("user").filter(CALENDAR_LINK.q(token)).first()
    if address is None or not _works_here(address.user):
        raise Http404
    now = timezone.now()
    CalendarAddress.objects.filter(pk=address.pk).update(read_at=now)
    with override(address.language):
        data = workshop_file(jobs_with_dates(timezone.localdate(now)), stamp=now)
    response = HttpResponse(data, content_type="text/calendar; charset=utf-8; method=PUBLISH")
    response["Content-Disposition"] = 'inline; filename="workshop.ics"'
    return private(response)


def _person(request: HttpRequest) -> User:
    assert isinstance(request.user, User)  # noqa: S101 - the staff's door has seen to it
    return request.user


def _works_here(user: User) -> bool:
    return user.is_active and bool(roles_of(user))
