"""An update in place, side by side with a plain view that renders the same template from ready context."""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import Client, override_settings
from django.urls import path

from configurator.pages import page
from shop.site.urls import urlpatterns as site_urls
from tests.pages.conftest import Visitor
from tests.pages.growth import grow

pytestmark = pytest.mark.benchmark
ready: dict[str, Any] = {}


def plain(request: HttpRequest) -> HttpResponse:
    """Render the update from a context that lies ready."""
    return render(request, "configurator/update.html", ready)


urlpatterns = [path("plain/", plain), *site_urls]
RUNS = 15
BODIES = ("drift-white", "wharf-grey", "quay-blue", "tarnside-green")
ACCENTS = ("ember-orange", "hawthorn-red", "meadow-lime", "fjord-teal")


def choose(visitor: Visitor, spacer: str, body: str, accent: str) -> None:
    visitor.post(in_place=True, spacer=spacer, body_finish=body, accent=accent)


def best_ms(call: Callable[[], Any], runs: int = RUNS) -> float:
    """Return the least processor time of several runs: another program on the machine does not count."""
    times = []
    for _run in range(runs):
        begin = time.process_time()
        call()
        times.append(time.process_time() - begin)
    return min(times) * 1000


@pytest.mark.parametrize("times", [1, 143])
def test_update_against_a_plain_view(demo_catalogue: Any, monkeypatch, times: int, capsys) -> None:
    if times > 1:
        grow(times)
    visitor = Visitor(Client())

    def keep(request: HttpRequest, template: str, context: dict[str, Any], **rest: Any) -> HttpResponse:
        ready.update(context)
        return render(request, template, context, **rest)

    with override_settings(ROOT_URLCONF=__name__):
        monkeypatch.setattr(page, "render", keep)
        visitor.post(in_place=True)
        # Each choice is a build that nobody asked for before; the second round asks for them again.
        chosen = list(itertools.product(["", "sp-5x112-666-15"], BODIES, ACCENTS))[:RUNS]
        first, again = iter(chosen), iter(chosen)
        new = best_ms(lambda: choose(visitor, *next(first)))
        post = best_ms(lambda: choose(visitor, *next(again)))
        get = best_ms(lambda: visitor.client.get("/plain/", headers={"HX-Request": "true"}))
    with capsys.disabled():
        print(
            f"\ncatalogue x {times}: plain {get:.1f} ms; update {new / get:.2f} times, again {post / get:.2f}"
        )
    assert ready
