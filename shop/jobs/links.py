"""Where the customer follows a job: the private page, by its token."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse

from .models import Job


def tracking_path(job: Job) -> str:
    """Return the path of the customer's private page on this site."""
    return reverse("tracking:job", args=[job.token])


def tracking_url(job: Job) -> str:
    """Return the whole address of the customer's private page, as mails and papers give it."""
    return settings.SITE_URL.rstrip("/") + tracking_path(job)
