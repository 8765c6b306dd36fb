"""The finished builds of the demonstration: customers agree, and staff show what was handed over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from configurator.builds.selection import Selection
from shop.jobs.models import Job
from shop.showcase import consent, finishing

from .clock import at
from .deeds import Staff, keep_promises
from .photos import photo_of


@dataclass(frozen=True)
class Story:
    """How one of them is told; ``told_by`` is who said yes, where it was not on the customer's page."""

    texts: dict[str, dict[str, str]]
    told_by: str = ""


STORIES = {
    "pickup": Story(
        {
            "en": {
                "title": "Yellow, and ready for the gravel pit",
                "text": "Black wheels with trail tyres, a new grille and painted mirror caps. The mudflaps "
                "came off; their holes are closed.",
            },
            "de": {
                "title": "Gelb und bereit für die Kiesgrube",
                "text": "Schwarze Räder mit Geländereifen, ein neuer Grill und lackierte Spiegelkappen. Die "
                "Schmutzfänger kamen ab, ihre Löcher sind verschlossen.",
            },
        },
        told_by="Herr Brandis, bei der Übergabe",
    ),
    "handles": Story(
        {
            "en": {
                "title": "One colour on a white van",
                "text": "Door handles and both badges in one teal, and the paint sealed. The van was back at "
                "work after a few days.",
            },
            "de": {
                "title": "Eine Farbe auf weißem Grund",
                "text": "Türgriffe und beide Embleme in einem Petrolton, dazu der Lack versiegelt. Nach ein "
                "paar Tagen war das Fahrzeug wieder bei der Arbeit.",
            },
        }
    ),
}


def show(job: Job, story: Story, staff: Staff, when: datetime) -> None:
    """The customer says yes; photos are chosen from the job and taken at the door, and it is shown."""
    with at(when):
        if story.told_by:
            consent.answer_by_staff(
                job_id=job.pk, answer="given", how="person", note=story.told_by, by=staff.reviewer
            )
        else:
            consent.answer_as_customer(job_id=job.pk, answer="given")
        found = finishing.sources(job)
        before, after = found[0], found[-1]
        finishing.choose(job_id=job.pk, key=before.key, side="before")
        finishing.choose(job_id=job.pk, key=after.key, side="after")
        selection = Selection.model_validate(job.revision.selection)
        finishing.add_sent(job_id=job.pk, data=photo_of(selection, view="front"), side="after")
        finishing.write(job_id=job.pk, texts=story.texts)
        finishing.publish(job_id=job.pk, by=staff.reviewer)
        keep_promises()
