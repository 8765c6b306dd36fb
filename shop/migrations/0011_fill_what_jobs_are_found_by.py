"""Fill what jobs are found and sorted by, from what they are; later changes keep it in step."""

import unicodedata

from django.db import migrations
from django.db.models import OuterRef, Subquery

UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})


def squash(text):
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in plain if char.isalnum())


def facts(job):
    revision, kept = job.revision, job.revision.evaluation
    yield from (job.number, revision.name, revision.email, revision.registration, revision.vin, job.spec.name)
    yield revision.phone.replace("(0)", "")
    yield str(revision.selection.get("generation", ""))
    yield from kept.get("names", {}).values()
    for line in kept.get("parts", []):
        yield from (line.get("item", ""), line.get("name", ""), line.get("supplier_ref", ""))


def words_of(job):
    found = set()
    for fact in facts(job):
        plain = unicodedata.normalize("NFKC", str(fact).casefold())
        found |= {squash(plain), squash(plain.translate(UMLAUTS))}
    return " ".join(sorted(found - {""}))


def fill(apps, schema_editor):
    jobs = apps.get_model("shop", "Job")
    words = apps.get_model("shop", "JobWords")
    last = apps.get_model("shop", "HistoryEntry").objects.filter(job=OuterRef("pk")).order_by("-pk")
    told = jobs.objects.annotate(who=Subquery(last.values("who")[:1]), did=Subquery(last.values("action")[:1]))
    for job in told.select_related("revision", "spec").iterator(chunk_size=200):
        words.objects.update_or_create(job=job, defaults={"text": words_of(job)})
        plain = unicodedata.normalize("NFKD", job.revision.name.casefold())
        name = "".join(char for char in plain if not unicodedata.combining(char))
        jobs.objects.filter(pk=job.pk).update(
            last_who=job.who or "", last_action=job.did or "", sort_name=name[:80]
        )


class Migration(migrations.Migration):
    dependencies = [("shop", "0010_find_and_sort_jobs_in_the_database")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
