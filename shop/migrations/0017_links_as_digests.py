"""Links as digests, first step: room for them beside the tokens."""

from django.db import migrations, models

import configurator.builds.tokens


class Migration(migrations.Migration):
    dependencies = [("shop", "0016_jobs_entered_by_hand")]
    operations = [
        migrations.AddField(model_name=model, name=name, field=field)
        for model in ("job", "calendaraddress")
        for name, field in (
            ("nonce", models.CharField(max_length=40, default=configurator.builds.tokens.new_nonce)),
            ("digest", models.CharField(max_length=64, null=True)),
            ("old_digest", models.CharField(max_length=64, null=True, blank=True)),
        )
    ]
