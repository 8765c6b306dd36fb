from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0004_messages")]

    operations = [
        migrations.DeleteModel(name="LinkRequest"),
        migrations.CreateModel(
            name="LinkRequest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("digest", models.CharField(max_length=64)),
                ("hour", models.PositiveIntegerField(help_text="hours since 1970")),
                ("slot", models.PositiveSmallIntegerField()),
            ],
            options={"ordering": ["pk"]},
        ),
        migrations.AddConstraint(
            model_name="linkrequest",
            constraint=models.UniqueConstraint(
                fields=("digest", "hour", "slot"), name="one_link_request_a_slot"
            ),
        ),
    ]
