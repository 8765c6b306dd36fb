"""What every test shares."""

from __future__ import annotations

import pytest
from django.conf import settings as django_settings
from django.db import transaction
from hypothesis import settings as hypothesis_settings

from configurator.catalogue import loader, snapshot
from configurator.catalogue.snapshot import Catalogue

DEMO = django_settings.BASE_DIR / "fixtures" / "catalogue"

hypothesis_settings.register_profile("default", max_examples=60, deadline=None)
hypothesis_settings.load_profile("default")


@pytest.fixture(autouse=True)
def _own_folders(settings, tmp_path):
    """Keep mail and media of each test in a folder of its own."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.EMAIL_FILE_PATH = str(tmp_path / "mail")
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(scope="session")
def catalogue(django_db_setup: None, django_db_blocker: object) -> Catalogue:
    """The demonstration catalogue in memory; its rows are not in the database any more.

    Whoever uses it without a database of their own proves that they make no query.
    """
    with django_db_blocker.unblock(), transaction.atomic():  # type: ignore[attr-defined]
        loader.load(DEMO)
        read = snapshot.read(1, "demo")
        transaction.set_rollback(True)
    return read


@pytest.fixture
def demo_catalogue(db: None) -> Catalogue:
    """The demonstration catalogue, loaded into the database."""
    snapshot.forget()
    loader.load(DEMO)
    return snapshot.current()
