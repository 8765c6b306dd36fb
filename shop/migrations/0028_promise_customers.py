"""Have the jobs from before joined to customers, a bounded number at a time and outside the migration."""

from django.db import migrations
from django.utils import timezone


def promise(apps, schema_editor):
    """Write the promise that the sweep keeps once the site runs again."""
    if apps.get_model("shop", "Job").objects.exists():
        apps.get_model("configurator", "OutboxEntry").objects.get_or_create(
            key="customers_join:0",
            defaults={"kind": "customers_join", "payload": {}, "next_attempt_at": timezone.now()},
        )


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0027_customers"),
        ("configurator", "0016_why_a_photo_was_refused"),
    ]

    operations = [migrations.RunPython(promise, migrations.RunPython.noop)]
