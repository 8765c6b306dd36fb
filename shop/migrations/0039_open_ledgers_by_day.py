from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0038_whole_reasons_of_holds")]

    # The new one first: taking the old one away keeps everybody from reading until the end of the transaction.
    operations = [
        migrations.AddIndex(
            model_name="ledger",
            index=models.Index(
                condition=models.Q(("is_open", True)), fields=["due_on", "job"], name="ledger_open_due"
            ),
        ),
        migrations.RemoveIndex(model_name="ledger", name="ledger_open_by_day"),
    ]
