"""What the tests of the customer's page share."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.core.files.base import ContentFile
from PIL import Image

from configurator.builds.evaluation import Evaluation
from configurator.models import Photo, SpecRevision, Workshop
from shop.jobs.agreement import agree_as_workshop, ask_customer
from shop.jobs.service import take_into_review
from shop.models import Job, JobOperation
from tests.shop import factories


@pytest.fixture
def workshop(db: None) -> Workshop:
    """Return the invented workshop."""
    return factories.make_workshop()


@pytest.fixture
def reviewer(db: None) -> Any:
    """Return one reviewer."""
    return factories.staff("reviewer")


def jpeg(colour: str = "#335577") -> ContentFile[bytes]:
    """Return a small plain JPEG."""
    out = BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return ContentFile(out.getvalue())


def own_photo(job: Job, **changes: Any) -> Photo:
    """Add a ready photo to the customer's build."""
    photo = Photo(spec=job.spec, state=Photo.State.READY, **changes)
    photo.image.save("a.jpg", jpeg(), save=False)
    photo.thumbnail.save("b.jpg", jpeg("#775533"), save=False)
    photo.save()
    return photo


def work_photo(job: Job, number: int = 0, *, shown: bool = True) -> JobOperation:
    """Put a photo on one step of work."""
    step = job.operations.all()[number]
    step.photo.save("c.jpg", jpeg("#557733"), save=False)
    step.photo_for_customer = shown
    step.save()
    return step


def amended(job: Job, found: Evaluation, why: str = "The grille is not made any more.") -> SpecRevision:
    """Give the job a newer revision, as the workshop's amendment does."""
    newer = factories.revision(
        found, spec=job.spec, why=why, made_by="mira", terms_version="7", terms_text="The terms."
    )
    job.revision = newer
    job.save()
    return newer


def offered(reviewer: Any, found: Evaluation | None = None) -> Job:
    """Return a job whose changed revision waits for the customer's yes."""
    job = factories.job()
    take_into_review(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    newer = amended(
        job,
        found
        or factories.evaluation(price=factories.price("990.00", "250.00"), summary=("Wheels A 8 x 18",)),
    )
    agree_as_workshop(job_id=job.pk, revision_id=newer.pk, by=reviewer)
    job.refresh_from_db()
    return job


def questioned(reviewer: Any, question: str = "Is there a radar behind the badge?") -> Job:
    """Return a job that waits for an answer."""
    job = factories.job()
    take_into_review(job_id=job.pk, by=reviewer)
    ask_customer(job_id=job.pk, by=reviewer, question=question)
    job.refresh_from_db()
    return job
