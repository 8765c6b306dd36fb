"""Links as digests, second step: every link in use is known by its digest."""

from django.db import migrations

from configurator.builds.tokens_filled import fill


def forward(apps, schema_editor):
    fill(apps.get_model("configurator", "Spec"), {"token": ("build", ""), "share_token": ("share", "share_")})


class Migration(migrations.Migration):
    dependencies = [("configurator", "0010_links_as_digests")]
    operations = [migrations.RunPython(forward, migrations.RunPython.noop)]
