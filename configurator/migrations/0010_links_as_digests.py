"""Links as digests, first step: room for them beside the tokens."""

from django.db import migrations, models

import configurator.builds.tokens


def link(prefix=""):
    return [
        (f"{prefix}nonce", models.CharField(max_length=40, default=configurator.builds.tokens.new_nonce)),
        (f"{prefix}digest", models.CharField(max_length=64, null=True)),
        (f"{prefix}old_digest", models.CharField(max_length=64, null=True, blank=True)),
    ]


class Migration(migrations.Migration):
    dependencies = [("configurator", "0009_drafts_and_history")]
    operations = [
        *(
            migrations.AddField(model_name="spec", name=name, field=field)
            for prefix in ("", "share_")
            for name, field in link(prefix)
        ),
        migrations.AddField(
            model_name="pendingsend",
            name="old_digest",
            field=models.CharField(max_length=64, unique=True, null=True, blank=True),
        ),
    ]
