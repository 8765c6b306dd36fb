"""Why the program holds a job up becomes an id with figures; what was a sentence is put into them."""

import re

from django.db import migrations, models

ORDER = re.compile(r"[A-Z]+-\d{4}-\d{4,}")


def sentence(name, **figures):
    return {"id": name, "figures": figures}


def put_apart(apps, schema_editor):
    """Rows of before have one sentence in the language of whoever caused it."""
    jobs = apps.get_model("shop", "Job").objects
    for job in jobs.filter(on_hold_reason__startswith="Parts short: "):
        was = job.on_hold_reason.removeprefix("Parts short: ")
        lines = [sentence("as_it_was", text=part) for part in was.split("; ")]
        keep(job, "parts_short", lines=lines)
    for job in jobs.filter(on_hold_reason__startswith="Deposit gone: "):
        orders = ORDER.findall(job.on_hold_reason)
        because = sentence("orders_in_question", orders=orders) if orders else sentence("vehicle_here")
        keep(job, "deposit_gone", lines=[because])
    for job in jobs.filter(on_hold_reason__startswith="More deposit: ").select_related("revision"):
        price = job.revision.evaluation.get("price") or {}
        amount = job.on_hold_reason.removeprefix("More deposit: ")
        keep(job, "more_deposit", money=[amount, price.get("currency", "EUR")])


def keep(job, name, **figures):
    job.hold_id, job.hold_figures, job.on_hold_reason = name, figures, ""
    job.save(update_fields=["hold_id", "hold_figures", "on_hold_reason"])


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0020_book_in_and_replacements'),
    ]

    operations = [
        migrations.AddField(
            model_name='job',
            name='hold_figures',
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.AddField(
            model_name='job',
            name='hold_id',
            field=models.CharField(blank=True, help_text='why the program holds it up: a sentence of ``said``', max_length=20),
        ),
        migrations.AddField(
            model_name='settlement',
            name='said',
            field=models.JSONField(blank=True, default=dict, help_text='why by the policy: an id with figures'),
        ),
        migrations.AlterField(
            model_name='job',
            name='on_hold_reason',
            field=models.CharField(blank=True, help_text='as a person typed it', max_length=300),
        ),
        migrations.AlterField(
            model_name='settlement',
            name='lines',
            field=models.JSONField(default=list, help_text='what for: a label or an id with figures, and amount'),
        ),
        migrations.AlterField(
            model_name='settlement',
            name='why',
            field=models.TextField(blank=True, help_text='as a person typed it'),
        ),
        migrations.RunPython(put_apart, migrations.RunPython.noop),
    ]
