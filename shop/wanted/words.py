"""Sentences about requests: where one stands for its customer, what is too much, what is agreed to."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from configurator.catalogue import workshop as workshops
from configurator.pages.bounded import again

from .models import VehicleRequest

State = VehicleRequest.State


@dataclass(frozen=True)
class Standing:
    """Where a request stands in plain words. ``tone`` is ok, warn, stop or info."""

    stamp: str
    tone: str
    heading: str
    text: str
    then: str = ""


def standing(request: VehicleRequest, *, can_begin: bool) -> Standing:
    """Return where it stands, and what comes next."""
    if request.state == State.OPEN:
        return Standing(
            _("with us"),
            "info",
            _("Your request is with us"),
            _("A person looks at it and answers by mail or telephone. It obliges you to nothing."),
            _("We tell you whether we can take the vehicle up, and what has to be measured for it."),
        )
    if request.state == State.TAKEN:
        return Standing(
            _("taken up"),
            "ok",
            _("We are taking your vehicle up"),
            _("It is measured and drawn, so that the page can judge in millimetres what fits it."),
            _("You hear from us as soon as you can build on it."),
        )
    if request.state == State.READY:
        return _ready(can_begin)
    if request.state == State.DECLINED:
        return Standing(
            _("declined"),
            "stop",
            _("We are sorry: we cannot take this vehicle up"),
            _("If something changes on your side, write to us below: it reaches us as before."),
        )
    return Standing(
        _("withdrawn"),
        "info",
        _("You have withdrawn this request"),
        _(
            "Nothing more comes of it, and what you wrote is deleted after a while. You can ask anew at "
            "any time."
        ),
    )


def _ready(can_begin: bool) -> Standing:
    if not can_begin:
        return Standing(
            _("on the list"),
            "warn",
            _("Your vehicle was on the list and is off it again"),
            _("Write to us below and we tell you why."),
        )
    return Standing(
        _("on the list"),
        "ok",
        _("You can build on your vehicle now"),
        _("Choose wheels, panels and colour for it, and see at once what fits and what it costs."),
        _("What you wrote to us is carried over. Nothing is ordered before we have both said yes."),
    )


def consent() -> str:
    """Return what is agreed to when a request is sent."""
    workshop = workshops.current()
    days = settings.RETENTION_DAYS["vehicle_requests"]
    return _(
        "I agree that %(name)s keeps my name, my contact, what I write and my photos to answer me; at the "
        "latest %(days)s days after the request is over they are deleted."
    ) % {"name": workshop.name if workshop else "Kerbline", "days": days}


def no_more_photos() -> str:
    """Say that there are as many photos as there may be."""
    limit = settings.KERBLINE_REQUEST_PHOTOS
    return _("No more than %(limit)d photos, please.") % {"limit": limit}


def no_room() -> str:
    """Say that the site has no room left for photos."""
    return _("We have no room for more photos at the moment. Send your request without them.")


def too_many_requests(wait_s: int) -> str:
    """Say that too many requests came from one connection; nothing typed is lost."""
    sentence = _("It was not sent: from your connection came as many requests as we take in a short time.")
    return " ".join([sentence, _("All you typed is kept on this page."), again(wait_s)])


def too_many_photos(wait_s: int) -> str:
    """Say that too many photos came from one connection."""
    sentence = _("From your connection came as many photos as we take in a short time.")
    return f"{sentence} {again(wait_s)}"


def too_many_words(wait_s: int) -> str:
    """Say that too much was written within a while."""
    return " ".join([_("That is a lot within a short time. Please call us instead."), again(wait_s)])


def waiting_words(count: int) -> str:
    """Return how many requests wait for the workshop."""
    return ngettext(
        "%(count)d vehicle is asked for that is not listed",
        "%(count)d vehicles are asked for that are not listed",
        count,
    ) % {"count": count}
