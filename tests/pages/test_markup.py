"""Every customer page as markup: by rules of our own always, by the Nu HTML checker where it is asked for."""

from __future__ import annotations

import json
import os
import re
import subprocess
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.test import Client
from lxml import html as markup

from shop.jobs.states import State
from shop.models import Job

from .conftest import SPACER, Visitor

CLASH = {"accent": "own", "f-front-badge": "badge-front", "f-removals": ["front-badge-remove"]}
NAMES_IDS = ("for", "aria-labelledby", "aria-describedby", "aria-controls", "popovertarget")
EXPLAINED = re.compile(r"Attribute “hx-[a-z-]+” not allowed")
"""What the checker may say: htmx reads attributes that HTML does not know."""


def pages(client: Client) -> Iterator[tuple[str, str]]:
    """Yield each customer page by name, in every state that looks different."""

    def get(name: str, path: str, **query: Any) -> tuple[str, str]:
        answer = client.get(path, query)
        assert answer.status_code < 500, name
        return name, answer.content.decode()

    yield get("start", "/")
    visitor = Visitor(client)
    yield get("build", visitor.url)
    visitor.post(**CLASH, spacer=SPACER, rear_differs="on")
    yield get("clash", visitor.url, open="wheels,accent,panels,send")
    refused = visitor.post(body_finish="own", body_code="www.x.y", do="send")
    yield "refused", refused.content.decode()
    share = re.search(r'id="id_share"[^>]*value="([^"]+)"', visitor.page())
    assert share
    yield get("share", urlsplit(share[1]).path)
    yield get("compare", f"{visitor.url}compare/", other=share[1])
    for name, path in (
        ("advice", f"{visitor.url}advice/front/"),
        ("nothing", "/nope/"),
        ("sign-in", "/sign-in/"),
        ("not-listed", "/not-listed/"),
        ("finished", "/finished/"),
        ("privacy", "/privacy/"),
        ("new-link", "/job/new-link/"),
        ("link-sent", "/job/new-link/sent/"),
    ):
        yield get(name, path)
    visitor.send()
    job = Job.objects.get()
    yield "bad-photos", client.post(f"/job/{job.token}/photos/", {}).content.decode()
    for state in State:
        Job.objects.filter(pk=job.pk).update(state=state)
        yield get(f"job-{state}", f"/job/{job.token}/")
        if state == State.DEPOSIT_DUE:
            yield get("pay", f"/job/{job.token}/pay/")


@pytest.fixture
def every_page(request: pytest.FixtureRequest, demo_catalogue: Any) -> dict[str, str]:
    """The customer pages in one language, asked for once."""
    language = request.param
    if language not in _asked_for:
        _asked_for[language] = dict(pages(Client(headers={"accept-language": language})))
    return _asked_for[language]


_asked_for: dict[str, dict[str, str]] = {}
in_both = pytest.mark.parametrize("every_page", ["en-gb", "de"], indirect=True)
in_english_first = pytest.mark.parametrize(
    "every_page", ["en-gb", pytest.param("de", marks=pytest.mark.long)], indirect=True
)


@pytest.mark.long
@in_english_first
def test_ids_are_once_a_page_and_lead_somewhere(every_page: dict[str, str]) -> None:
    """HTML 3.2.3.1: an id is unique in its tree; what names one names one that is there."""
    assert len(every_page) > 20
    for name, text in every_page.items():
        tree = markup.fromstring(text)
        ids = Counter(tree.xpath("//@id"))
        assert [one for one, times in ids.items() if times > 1] == [], name
        for attribute in NAMES_IDS:
            led = {one for value in tree.xpath(f"//@{attribute}") for one in value.split()}
            assert led - set(ids) == set(), (name, attribute)


@pytest.mark.long
@in_english_first
def test_moments_are_written_as_html_takes_them(every_page: dict[str, str]) -> None:
    """HTML 2.3.5.7: a fraction of a second has one to three digits."""
    said = [one for text in every_page.values() for one in re.findall(r'datetime="([^"]*)"', text)]
    assert said
    assert [one for one in said if re.search(r"\.\d{4,}", one)] == []


@pytest.mark.markup
@in_both
def test_the_nu_html_checker_finds_nothing(every_page: dict[str, str], tmp_path: Path) -> None:
    """The checker is the W3C's; ``KERBLINE_VNU`` names its jar."""
    for name, text in every_page.items():
        (tmp_path / f"{name}.html").write_text(text)
    (tmp_path / "wrong.html").write_text("<!doctype html><title>x</title><img>")
    command = ["java", "-jar", os.environ["KERBLINE_VNU"], "--errors-only", "--format", "json"]
    run = subprocess.run([*command, str(tmp_path)], capture_output=True, text=True, check=False)
    found = json.loads(run.stderr)["messages"]
    assert [one for one in found if one["url"].endswith("wrong.html")]
    said = {
        (one["url"].rpartition("/")[2], one["message"])
        for one in found
        if not EXPLAINED.search(one["message"]) and not one["url"].endswith("wrong.html")
    }
    assert said == set()
