"""Links as digests, second step: every link in use is known by its digest; stored mails lose their tokens."""

from django.db import migrations
from django.db.models import F, OuterRef, Subquery, Value
from django.db.models.functions import Replace

from configurator.builds.tokens_filled import fill

MARK = "[private-link]"


def forward(apps, schema_editor):
    job, mail = apps.get_model("shop", "Job"), apps.get_model("shop", "OutgoingMail")
    token = Subquery(job.objects.filter(pk=OuterRef("job_id")).values("token")[:1])
    mail.objects.update(
        text=Replace(F("text"), token, Value(MARK)), html=Replace(F("html"), token, Value(MARK))
    )
    fill(job, {"token": ("job", "")})
    fill(apps.get_model("shop", "CalendarAddress"), {"token": ("calendar", "")})


class Migration(migrations.Migration):
    dependencies = [("shop", "0017_links_as_digests")]
    operations = [migrations.RunPython(forward, migrations.RunPython.noop)]
