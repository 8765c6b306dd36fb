"""Stock is kept by item and, for paint mixed to a colour, by that colour."""

from django.db import migrations, models
from django.db.models import F


def copy_item(apps, schema_editor):
    for name in ("JobPart", "PurchaseLine"):
        apps.get_model("shop", name).objects.update(sku=F("item"))


class Migration(migrations.Migration):
    dependencies = [("shop", "0002_commerce")]

    operations = [
        migrations.RemoveConstraint("purchaseline", "one_line_an_item"),
        migrations.RenameField("stocklevel", "item", "sku"),
        migrations.RenameField("stockmovement", "item", "sku"),
        migrations.RenameField("reservation", "item", "sku"),
        migrations.AlterModelOptions("stocklevel", {"ordering": ["sku"]}),
        migrations.AlterField("stocklevel", "sku", models.CharField(db_index=True, max_length=160, unique=True)),
        migrations.AlterField("stockmovement", "sku", models.CharField(db_index=True, max_length=160)),
        migrations.AlterField("reservation", "sku", models.CharField(db_index=True, max_length=160)),
        migrations.AddField("jobpart", "sku", models.CharField(db_index=True, max_length=160, default=""), preserve_default=False),
        migrations.AddField("purchaseline", "sku", models.CharField(db_index=True, max_length=160, default=""), preserve_default=False),
        migrations.AlterField("jobpart", "item", models.CharField(help_text="item code", max_length=60)),
        migrations.AlterField("purchaseline", "item", models.CharField(max_length=60)),
        migrations.RunPython(copy_item, migrations.RunPython.noop),
        migrations.AddConstraint("purchaseline", models.UniqueConstraint(fields=("order", "sku"), name="one_line_an_item")),
    ]
