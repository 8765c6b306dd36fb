"""Links as digests, third step: the tokens go."""

from django.db import migrations, models

DIGEST = dict(max_length=64, unique=True)


class Migration(migrations.Migration):
    dependencies = [("shop", "0018_fill_the_digests")]
    operations = [
        operation
        for model in ("job", "calendaraddress")
        for operation in (
            migrations.AlterField(model_name=model, name="digest", field=models.CharField(**DIGEST)),
            migrations.AlterField(
                model_name=model,
                name="old_digest",
                field=models.CharField(null=True, blank=True, **DIGEST),
            ),
            migrations.RemoveField(model_name=model, name="token"),
        )
    ]
