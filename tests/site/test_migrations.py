"""No change of a model is without its migration."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command


@pytest.mark.long
@pytest.mark.django_db
def test_the_migrations_say_all_that_the_models_say() -> None:
    """The tests' tables are made from the models, so nothing else here would miss a forgotten migration."""
    said = StringIO()
    try:
        call_command("makemigrations", check=True, dry_run=True, stdout=said)
    except SystemExit:
        pytest.fail(said.getvalue())
