"""What every test shares."""

from __future__ import annotations

import gc
import os
import socket
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.conf import settings as django_settings
from django.db import connection, connections, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.db.models.signals import post_migrate
from django.test.utils import setup_databases, teardown_databases
from django.utils import translation
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings

from configurator.catalogue import loader, snapshot
from configurator.catalogue.snapshot import Catalogue
from configurator.visitors import limiting
from shop.jobs import opening
from shop.site import celery_app

from .demo_rows import DemoRows

HERE = Path(__file__).parent
REAL_DATABASE = str(django_settings.DATABASES["default"]["NAME"])
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DEMO = django_settings.BASE_DIR / "fixtures" / "catalogue"

# Thousands of modules and test items live as long as the run: looking through them again and again for
# what can be freed took a quarter of its time.
gc.set_threshold(200_000, 20, 100)

# Nobody asks for Django's permissions, and after each test that commits they would all be written anew.
post_migrate.disconnect(dispatch_uid="django.contrib.auth.management.create_permissions")

# A machine that is busy with something else is no reason to fail. CI draws more than a person waits for.
hypothesis_settings.register_profile(
    "default",
    max_examples=60 if os.environ.get("CI") else 40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
hypothesis_settings.load_profile("default")


def _asks_for(mark: str, config: pytest.Config) -> bool:
    return mark in str(config.getoption("-m")).replace(f"not {mark}", "")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave what only browser and benchmarks run unread where neither is asked for."""
    for folder, marks in (("browser", ("browser", "services")), ("benchmarks", ("benchmark",))):
        if collection_path == HERE / folder and not any(_asks_for(mark, config) for mark in marks):
            return True
    return None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse a test that is long and needs something besides: ``-m long`` runs on any machine."""
    others = {"browser", "services", "benchmark", "markup"}
    for item in items:
        marks = {mark.name for mark in item.iter_markers()}
        if "long" in marks and marks & others:
            raise pytest.UsageError(f"long, and left out anyhow: {item.nodeid}")


def pytest_collection_finish() -> None:
    """Leave what was collected out of the looking."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def _own_folders(settings, tmp_path, monkeypatch):
    """Keep mail and media of each test in a folder of its own, and its crowd to itself."""
    monkeypatch.setattr(opening, "CROWD_S", 0.0)
    settings.KERBLINE_WORK_IN_THREADS = False  # a thread would not see what a test has not committed
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.EMAIL_FILE_PATH = str(tmp_path / "mail")
    # Tests sign in by force; those of the second factor ask for it themselves.
    settings.SECOND_FACTOR_FOR = []
    limiting.forget()
    # Each client builds the middleware anew, which else looks through every folder of static files.
    settings.WHITENOISE_AUTOREFRESH = True
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def _own_language() -> Iterator[None]:
    """Begin each test in the default language: a page that was asked for leaves its own behind."""
    with translation.override(django_settings.LANGUAGE_CODE):
        yield


@pytest.fixture(autouse=True, scope="session")
def _tasks_in_process():
    """Run tasks where they are called, also where REDIS_URL is set; a worker's own test undoes it."""
    celery_app.conf.task_always_eager = True


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None,
    request: pytest.FixtureRequest,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Browser tests ask a threaded server; SQLite in memory would give all threads one connection."""
    database = connections.databases["default"]
    if "sqlite" not in database["ENGINE"]:
        return
    # The tables as the models say cost a tenth of every migration since the first. The suite on PostgreSQL
    # and the demo command go through all of them, and ``test_migrations.py`` sees that none is missing.
    database["TEST"]["MIGRATE"] = False
    if _asks_for("browser", request.config):
        database["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> None:
    """Note the migrations that the tables are the outcome of, for whoever goes back and forth in them."""
    with django_db_blocker.unblock():
        recorder = MigrationRecorder(connection)
        recorder.ensure_schema()
        done = recorder.applied_migrations()
        undone = MigrationLoader(connection).disk_migrations.keys() - done.keys()
        for key in undone:
            recorder.record_applied(*key)
        if undone:  # what the models do not say: the indexes that the database keeps by its own triggers
            import_module("shop.migrations.0034_find_parts_of_words").add(apps, connection.schema_editor())


@pytest.fixture(scope="session")
def catalogue(django_db_setup: None, django_db_blocker: object) -> Catalogue:
    """The demonstration catalogue in memory; its rows are not in the database any more.

    Whoever uses it without a database of their own proves that they make no query.
    """
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        # Where no test of the run asks for a database, pytest-django has made none.
        is_real = str(connections["default"].settings_dict["NAME"]) == REAL_DATABASE
        made = setup_databases(verbosity=0, interactive=False) if is_real else None
        with transaction.atomic():
            loader.load(DEMO)
            read = snapshot.read(1, "demo")
            transaction.set_rollback(True)
        if made is not None:
            teardown_databases(made, verbosity=0)
    return read


@pytest.fixture
def demo_catalogue(db: None, demo_rows: DemoRows) -> Catalogue:
    """The demonstration catalogue, loaded into the database.

    The loader reads its files once; every test gets the very rows it wrote and the snapshot read from them,
    which is fifty times faster. Change rows by queries, never the snapshot's own instances.
    """
    with transaction.atomic():
        demo_rows.put_back()
        live = snapshot.live_version()
    assert live is not None
    return snapshot.hold(live, demo_rows.read)


@pytest.fixture(scope="session")
def demo_rows(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> DemoRows:
    """Where the demonstration's rows wait for the tests that want them.

    They are loaded into empty tables and taken out again: whatever the first test has written is not kept.
    """
    with django_db_blocker.unblock(), transaction.atomic():
        snapshot.forget()
        loader.load(DEMO)
        kept = DemoRows(tmp_path_factory.mktemp("demo") / "rows.sqlite3", snapshot.current())
        transaction.set_rollback(True)
    snapshot.forget()
    return kept


@pytest.fixture
def deaf() -> Iterator[int]:
    """A port that accepts connections and never answers."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen(50)
        yield listening.getsockname()[1]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Debian's chromium: one browser for the whole run, as one thread can hold but one Playwright."""
    from playwright.sync_api import sync_playwright

    # Playwright runs an event loop in this thread; Django would refuse every query beside it.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    path = os.environ.get("CHROMIUM", "/usr/bin/chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield browser
        browser.close()
