# Plain indexes: on PostgreSQL each holds up writing to its table while it is built
# there, and `held` has the table of jobs written anew once.

from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('configurator', '0016_why_a_photo_was_refused'),
        ('shop', '0032_what_is_short_kept'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='fact',
            name='shared',
            field=models.BooleanField(default=False, help_text='another record has had the same'),
        ),
        migrations.AddField(
            model_name='job',
            name='held',
            field=models.GeneratedField(db_persist=True, expression=models.Case(models.When(hold_id='', on_hold_reason='', then=models.Value(False)), default=models.Value(True)), output_field=models.BooleanField()),
        ),
        migrations.AddIndex(
            model_name='brokenpromise',
            index=models.Index(fields=['settled'], name='broken_promise_settled'),
        ),
        migrations.AddIndex(
            model_name='datewish',
            index=models.Index(fields=['answer'], name='date_wish_answered'),
        ),
        migrations.AddIndex(
            model_name='fact',
            index=models.Index(condition=models.Q(('shared', True)), fields=['kind', 'key'], name='customer_fact_shared'),
        ),
        migrations.AddIndex(
            model_name='job',
            index=models.Index(fields=['state', 'state_since', 'id'], name='job_longest_in_state'),
        ),
        migrations.AddIndex(
            model_name='job',
            index=models.Index(condition=models.Q(('held', True)), fields=['state_since', 'id'], name='job_held'),
        ),
        migrations.AddIndex(
            model_name='job',
            index=models.Index(fields=['recheck_due_on'], name='job_to_recheck'),
        ),
        migrations.AddIndex(
            model_name='joboperation',
            index=models.Index(fields=['planned_start'], name='step_by_planned_start'),
        ),
        migrations.AddIndex(
            model_name='ledger',
            index=models.Index(fields=['outstanding_cents', 'due_on', 'job'], name='ledger_by_outstanding'),
        ),
        migrations.AddIndex(
            model_name='measurement',
            index=models.Index(fields=['verdict'], name='measurement_by_verdict'),
        ),
        migrations.AddIndex(
            model_name='proposal',
            index=models.Index(fields=['state', 'answered_at'], name='proposal_by_answer'),
        ),
    ]
