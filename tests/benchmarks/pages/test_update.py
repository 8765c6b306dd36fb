"""An update in place, side by side with a plain view: the whole answer, drawn from context that lies ready.

A catalogue of ``KERBLINE_GROWN`` wheels (5,000) is measured beside the demonstration's own.
"""

from __future__ import annotations

import gzip
import itertools
import math
import os
import re
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import path

from configurator.models import Wheel
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
WHEELS = int(os.environ.get("KERBLINE_GROWN", "5000"))
SPACERS = ("", "sp-5x112-666-15")
BODIES = ("drift-white", "wharf-grey", "quay-blue", "tarnside-green")
ACCENTS = ("ember-orange", "hawthorn-red", "meadow-lime", "fjord-teal")


class Tab:
    """A browser that says what it shows, as the page's script does."""

    def __init__(self, visitor: Visitor) -> None:
        self.visitor = visitor
        self.said: dict[str, str] = {}
        self._read(self.visitor.page())

    def _read(self, html: str) -> None:
        self.said["seen"] = re.search(r'id="seen" data-marks="([^"]*)"', html)[1]  # type: ignore[index]
        for name in ("based_on", "rear_shown", "wheel-seen", "tyre-seen", "spacer-seen"):
            found = re.search(rf'name="{name}"[^>]* value="([^"]*)"', html)
            if found:
                self.said[name] = found[1]

    def choose(self, **chosen: Any) -> HttpResponse:
        """Choose something, and note what the browser shows then."""
        answer = self.visitor.post(in_place=True, **{**self.said, **chosen})
        assert answer.status_code == 200
        self._read(answer.content.decode())
        return answer


def timed_ms(call: Callable[[], Any]) -> float:
    """Return the processor time of one call: another program on the machine does not count."""
    begin = time.process_time()
    call()
    return (time.process_time() - begin) * 1000


@dataclass
class Measured:
    """One catalogue: processor times in ms, bytes as they go out, queries."""

    plain: float
    page: float
    new: float
    again: float
    page_bytes: int
    update_bytes: int
    page_queries: int
    update_queries: int


def measured(monkeypatch: pytest.MonkeyPatch) -> Measured:
    """Measure page and update, each beside the plain view and in turn with it."""
    visitor = Visitor(Client())

    def keep(request: HttpRequest, template: str, context: dict[str, Any], **rest: Any) -> HttpResponse:
        if "HX-Request" in request.headers and "seen" not in request.POST:
            ready.update(context)
        return render(request, template, context, **rest)

    with override_settings(ROOT_URLCONF=__name__):
        monkeypatch.setattr(page, "render", keep)
        visitor.post(in_place=True)
        tab = Tab(visitor)
        whole = {"HX-Request": "true"}
        # Each choice is a build that nobody asked for before; the second round asks for them again.
        chosen = [
            {"spacer": spacer, "body_finish": body, "accent": accent}
            for spacer, body, accent in itertools.product(SPACERS, BODIES, ACCENTS)
        ][:RUNS]
        times: dict[str, list[float]] = {"plain": [], "page": [], "new": [], "again": []}
        for round_ in ("new", "again"):
            for each in chosen:
                times[round_].append(timed_ms(lambda: tab.choose(**each)))  # noqa: B023 - called at once
                times["plain"].append(timed_ms(lambda: tab.visitor.client.get("/plain/", headers=whole)))
                times["page"].append(timed_ms(tab.visitor.page))
        best = {name: statistics.median(each) for name, each in times.items()}
        with CaptureQueriesContext(connection) as at_page:
            html = tab.visitor.page()
        with CaptureQueriesContext(connection) as at_update:
            answer = tab.choose(**chosen[0])
    return Measured(
        **best,
        page_bytes=len(gzip.compress(html.encode())),
        update_bytes=len(gzip.compress(answer.content)),
        page_queries=len(at_page),
        update_queries=len(at_update),
    )


def told(name: str, one: Measured) -> str:
    return (
        f"\n{name}: plain {one.plain:.1f} ms; update {one.new / one.plain:.2f} times, again "
        f"{one.again / one.plain:.2f}; page {one.page / one.plain:.2f}; compressed {one.update_bytes} "
        f"bytes of {one.page_bytes}; {one.update_queries} and {one.page_queries} queries"
    )


def test_update_against_a_plain_view(demo_catalogue: Any, monkeypatch, capsys) -> None:
    demo = measured(monkeypatch)
    grow(math.ceil(WHEELS / Wheel.objects.count()))
    grown = measured(monkeypatch)
    with capsys.disabled():
        print(told("demonstration", demo), told(f"{Wheel.objects.count()} wheels", grown))
        print(f"page {grown.page / demo.page:.2f} times, update {grown.new / demo.new:.2f} times the demo's")
    assert ready
    assert grown.update_queries == demo.update_queries
    assert grown.page_queries == demo.page_queries
    assert grown.update_bytes < 1.1 * demo.update_bytes
    assert grown.page_bytes < 1.1 * demo.page_bytes
