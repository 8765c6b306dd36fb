"""The demonstration catalogue as files, as a copy that a test may spoil, and loaded."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from django.conf import settings

from configurator.catalogue import snapshot

FILES = settings.BASE_DIR / "fixtures" / "catalogue"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demonstration's files."""
    return Path(shutil.copytree(FILES, tmp_path / "catalogue"))


@pytest.fixture
def demo(demo_catalogue: snapshot.Catalogue) -> snapshot.Catalogue:
    """The demonstration catalogue, loaded."""
    return demo_catalogue
