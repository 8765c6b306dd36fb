"""Links as digests, third step: the tokens go."""

from django.db import migrations, models

DIGEST = dict(max_length=64, unique=True)


class Migration(migrations.Migration):
    dependencies = [("configurator", "0011_fill_the_digests")]
    operations = [
        *(
            migrations.AlterField(model_name="spec", name=f"{prefix}digest", field=models.CharField(**DIGEST))
            for prefix in ("", "share_")
        ),
        *(
            migrations.AlterField(
                model_name="spec",
                name=f"{prefix}old_digest",
                field=models.CharField(null=True, blank=True, **DIGEST),
            )
            for prefix in ("", "share_")
        ),
        migrations.RemoveField(model_name="spec", name="token"),
        migrations.RemoveField(model_name="spec", name="share_token"),
    ]
