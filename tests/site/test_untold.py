"""No private link in any log line, object or report, whatever kind of link it is."""

from __future__ import annotations

import json
import logging
import logging.config
import re
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import RequestFactory
from django.urls import URLResolver, get_resolver

from shop.site.logs import RequestFilter, logging_config, scrubbed, without_tokens

TOKEN = "Zx9_" * 8


def links(found: Any = None, before: str = "/") -> Iterator[str]:
    """Every address of ours that opens something by a token alone."""
    for pattern in (found or get_resolver()).url_patterns:
        address = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from links(pattern, address)
        elif ":token>" in address or "/<token>" in address:
            yield re.sub(r"<[^>]*>", "x", re.sub(r"<(slug:)?token>", TOKEN, address))


def test_every_private_link_is_taken_out() -> None:
    # A photo's token on a page of staff opens nothing by itself.
    found = [one for one in links() if not one.startswith("/workshop/")]
    assert len(found) > 30
    assert [one for one in found if TOKEN in without_tokens(one)] == []


@pytest.mark.parametrize("form", ["json", ""])
def test_neither_the_request_nor_the_traceback_tells_it(form: str) -> None:
    """Django hands the request on beside the text, and JSON lines write all that is beside it."""
    config = logging_config(form)
    formatter = logging.config.DictConfigurator(config).configure_formatter(config["formatters"]["console"])
    try:
        raise ValueError(f"no page /job/{TOKEN}/")
    except ValueError:
        record = logging.LogRecord(
            "django.request", logging.ERROR, "", 1, "Fault: %s", (f"/job/{TOKEN}/",), sys.exc_info()
        )
    record.request = RequestFactory().post(f"/not-listed/{TOKEN}/")
    RequestFilter().filter(record)
    line = formatter.format(record)
    assert TOKEN not in line
    assert "no page /job/…/" in (json.loads(line)["exc_info"] if form else line)
    if form:
        assert json.loads(line)["request"] == "<WSGIRequest: POST '/not-listed/…/'>"


def test_what_goes_to_a_collector_tells_none_either() -> None:
    event = {
        "request": {"url": f"https://shop.example/build/{TOKEN}/", "headers": {"Referer": f"/job/{TOKEN}/"}},
        "breadcrumbs": [{"message": f"GET /confirm/{TOKEN}/"}],
        "level": "error",
        "count": 1,
    }
    told = scrubbed(event)
    assert TOKEN not in json.dumps(told)
    assert (told["request"]["url"], told["count"]) == ("https://shop.example/build/…/", 1)
