# What lists sort and bound by. Each column comes with a default that the database knows, so no row is written
# for it; the rows are told and the indexes made in `0037`, step by step.

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
            field=models.BooleanField(db_default=False, default=False, help_text='another record has had the same'),
        ),
        migrations.AddField(
            model_name='job',
            name='held',
            field=models.BooleanField(db_default=False, default=False, help_text='kept with why it is held up'),
        ),
    ]
