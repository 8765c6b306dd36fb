"""Screenshots for the README: ``manage.py gallery OUT_DIR [--site URL]`` (needs the test extra).

Drives Debian's chromium at a running site that holds the demonstration (``manage.py demo``): the
customer's pages, and the workshop's plan.
"""

from __future__ import annotations

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

WIDTHS = (1280, 360)
SCHEMES = ("light", "dark")
SHOW = "e => { for (let d = e.closest('details'); d; d = d.parentElement.closest('details')) d.open = true }"
CLOSE = "document.querySelectorAll('#build details').forEach(d => { d.open = false })"
MANAGER, PASSWORD = "anke", "kerbline-demo"
CHOICES = (
    'input[name="body_finish"][value="quay-blue"]',
    'input[name="wheel"][value="torvik-8x18-5x112-et50-gloss-black"]',
    'input[name="spacer"][value="sp-5x112-666-15"]',
    'input[name="accent"][value="ember-orange"]',
    'input[name="f-calipers"][value="calipers-front"]',
    'input[name="f-calipers"][value="calipers-rear"]',
    'input[name="f-roof-spoiler"]',
)


class Command(BaseCommand):
    """Make the pictures that the README shows, at both widths, light and dark."""

    help = __doc__ or ""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder and the site's address."""
        parser.add_argument("out", type=Path)
        parser.add_argument("--site", default="http://127.0.0.1:8000")

    def handle(self, *args: Any, out: Path, site: str, **options: Any) -> None:
        """Visit and take each picture."""
        try:
            from playwright.sync_api import Error, sync_playwright
        except ImportError as error:
            raise CommandError("Install the test extra first: it holds Playwright.") from error
        out.mkdir(parents=True, exist_ok=True)
        path = os.environ.get("CHROMIUM", "/usr/bin/chromium")
        with sync_playwright() as playwright:
            try:
                browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
                for width in WIDTHS:
                    for scheme in SCHEMES:
                        self._visit(browser, site, width, scheme, out)
                self._workshop(browser, site, out)
                browser.close()
            except Error as error:
                raise CommandError(f"The browser could not do it: {error}") from error

    def _visit(self, browser: Any, site: str, width: int, scheme: str, out: Path) -> None:
        size = {"width": width, "height": 900}
        context = browser.new_context(viewport=size, color_scheme=scheme, base_url=site)
        page = context.new_page()
        page.goto("/")
        self._take(page, out / f"start-{width}-{scheme}.png")
        page.locator('form[action="/begin/haldor-2/"] button').first.click()
        page.wait_for_url("**/build/**")
        for choice in CHOICES:
            page.locator(choice).last.evaluate(SHOW)
            page.locator(choice).last.check()
            page.wait_for_timeout(200)
            page.locator("#build:not(.htmx-request)").wait_for()
        page.evaluate(CLOSE)
        page.evaluate("document.querySelector('input[name=turn][value=side]').checked = true")
        self._take(page, out / f"build-{width}-{scheme}.png")
        page.locator("#s-wheels > summary").click()
        page.evaluate("window.scrollTo(0, 0)")
        self._take(page, out / f"first-{width}-{scheme}.png", whole=False)
        page.locator("#more-front > summary").click()
        page.locator("#more-front").scroll_into_view_if_needed()
        page.wait_for_load_state("networkidle")
        self._take(page, out / f"fit-{width}-{scheme}.png", whole=False)
        page.goto(site + "/share/" + page.input_value("#id_share").rstrip("/").rpartition("/")[2] + "/")
        self._take(page, out / f"share-{width}-{scheme}.png")
        context.close()

    def _workshop(self, browser: Any, site: str, out: Path) -> None:
        """Take the plan as the demonstration's manager sees it."""
        context = browser.new_context(viewport={"width": WIDTHS[0], "height": 900}, base_url=site)
        page = context.new_page()
        page.goto("/sign-in/?next=/workshop/plan/")
        page.fill('[name="username"]', MANAGER)
        page.fill('[name="password"]', PASSWORD)
        page.locator("main form button").first.click()
        page.wait_for_url("**/workshop/plan/**")
        self._take(page, out / f"plan-{WIDTHS[0]}-light.png", whole=False)
        context.close()

    def _take(self, page: Any, path: Path, *, whole: bool = True) -> None:
        if whole:
            page.evaluate("window.scrollTo(0, 0)")
        page.wait_for_timeout(300)
        page.screenshot(path=str(path), full_page=whole)
        self.stdout.write(str(path))
