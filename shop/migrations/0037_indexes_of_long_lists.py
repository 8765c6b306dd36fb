# Not in one transaction: each step holds up writing to its own table for as long as it takes, and nobody's
# reading. Broken off, it begins again and passes over what is there.

from django.db import migrations, models


def note_held(apps, schema_editor):
    """Mark the jobs that something holds up."""
    apps.get_model("shop", "Job").objects.exclude(hold_id="", on_hold_reason="").update(held=True)


class AddMissingIndex(migrations.AddIndex):
    """Adds an index unless it is there already."""

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        connection = schema_editor.connection
        table = to_state.apps.get_model(app_label, self.model_name)._meta.db_table
        with connection.cursor() as cursor:
            if self.index.name in connection.introspection.get_constraints(cursor, table):
                return
        super().database_forwards(app_label, schema_editor, from_state, to_state)


class Migration(migrations.Migration):

    atomic = False

    dependencies = [
        ('shop', '0036_goods_given_up_in_part'),
    ]

    operations = [
        migrations.RunPython(note_held, migrations.RunPython.noop),
        AddMissingIndex(
            model_name='brokenpromise',
            index=models.Index(fields=['settled'], name='broken_promise_settled'),
        ),
        AddMissingIndex(
            model_name='datewish',
            index=models.Index(fields=['answer'], name='date_wish_answered'),
        ),
        AddMissingIndex(
            model_name='fact',
            index=models.Index(condition=models.Q(('shared', True)), fields=['kind', 'key'], name='customer_fact_shared'),
        ),
        AddMissingIndex(
            model_name='job',
            index=models.Index(fields=['state', 'state_since', 'id'], name='job_longest_in_state'),
        ),
        AddMissingIndex(
            model_name='job',
            index=models.Index(condition=models.Q(('held', True)), fields=['state_since', 'id'], name='job_held'),
        ),
        AddMissingIndex(
            model_name='job',
            index=models.Index(fields=['recheck_due_on'], name='job_to_recheck'),
        ),
        AddMissingIndex(
            model_name='joboperation',
            index=models.Index(fields=['planned_start'], name='step_by_planned_start'),
        ),
        AddMissingIndex(
            model_name='ledger',
            index=models.Index(fields=['outstanding_cents', 'due_on', 'job'], name='ledger_by_outstanding'),
        ),
        AddMissingIndex(
            model_name='measurement',
            index=models.Index(fields=['verdict'], name='measurement_by_verdict'),
        ),
        AddMissingIndex(
            model_name='proposal',
            index=models.Index(fields=['state', 'answered_at'], name='proposal_by_answer'),
        ),
    ]
