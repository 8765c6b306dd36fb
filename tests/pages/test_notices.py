"""The licence is there, and what others have written and we serve or embed is named."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import distribution

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

NOTICES = settings.BASE_DIR / "configurator" / "static" / "configurator" / "notices.txt"
# The package that a served file comes with, by the first folder of its static path.
OURS = {"configurator", "shop"}


def served() -> set[str]:
    """Return the first folders of all static files that templates name."""
    texts = [path.read_text("utf-8") for path in (settings.BASE_DIR / "templates").rglob("*.html")]
    return {name.split("/")[0] for text in texts for name in re.findall(r"{% static '([^']+)' %}", text)}


def test_the_licence_stands_at_the_top_and_in_the_projects_own_data():
    project = tomllib.loads((settings.BASE_DIR / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["license"] == "MIT"
    assert project["license-files"] == ["LICENSE"]
    assert (settings.BASE_DIR / "LICENSE").read_text("utf-8").startswith("MIT License")


def test_every_served_file_of_others_is_named():
    others = served() - OURS
    assert others == {"django_htmx"}
    assert "htmx 2" in NOTICES.read_text("utf-8")
    assert finders.find("django_htmx/htmx-2.min.js")


@pytest.mark.parametrize(
    ("package", "line"),
    [
        ("django-htmx", "copyright (c) 2020 Adam Johnson"),
        ("fontpkg-ibm-plex-sans-condensed", "2017 IBM Corp."),
    ],
)
def test_notices_carry_the_copyright_that_the_package_states(package, line):
    files = distribution(package).files or []
    licence = next(file for file in files if file.name == "LICENSE").read_text()
    assert line.split(")")[-1].strip() in licence
    assert line in NOTICES.read_text("utf-8")


@pytest.mark.django_db
def test_the_foot_of_the_page_leads_to_the_notices(client):
    page = client.get("/").content.decode()
    assert re.search(r'href="[^"]*configurator/notices[^"]*\.txt"', page)
