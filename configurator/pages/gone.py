"""What a build's pages answer once the workshop no longer lists its vehicle."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

P = ParamSpec("P")


class VehicleGoneError(Exception):
    """The workshop no longer lists the vehicle that the build is for."""


def while_listed(view: Callable[P, HttpResponse]) -> Callable[P, HttpResponse]:
    """Have a view that opens a build say so when its vehicle is gone (410)."""

    @wraps(view)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(*args, **kwargs)
        except VehicleGoneError:
            return render(cast(HttpRequest, args[0]), "configurator/gone.html", status=410)

    return wrapped
