"""An update in place, side by side with a plain view that renders the same template from ready context."""

from __future__ import annotations

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


def best_ms(call: Callable[[], Any], runs: int = 15) -> float:
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
        spacers = iter([""] + ["sp-5x112-666-15", ""] * 50)
        post = best_ms(lambda: visitor.post(in_place=True, spacer=next(spacers)))
        get = best_ms(lambda: visitor.client.get("/plain/", headers={"HX-Request": "true"}))
    with capsys.disabled():
        print(f"\ncatalogue x {times}: update {post:.1f} ms, plain {get:.1f} ms, ratio {post / get:.2f}")
    assert ready
