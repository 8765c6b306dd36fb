"""Finished builds: what a customer agreed to, and what visitors are shown."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.jobs.models import Job


def new_address() -> str:
    """Return what a finished build or one of its photos is called in addresses: nothing that tells whose."""
    return secrets.token_urlsafe(12)


class ShowingConsent(models.Model):
    """One answer to whether a job may be shown; the newest of a job counts, and none is ever changed."""

    class Answer(models.TextChoices):
        GIVEN = "given", _("has agreed")
        DECLINED = "declined", _("has not agreed")
        WITHDRAWN = "withdrawn", _("has taken it back")

    class How(models.TextChoices):
        PAGE = "page", _("on the customer’s page")
        PERSON = "person", _("in person")
        TELEPHONE = "telephone", _("by telephone")
        WRITTEN = "written", _("in writing")

    job = models.ForeignKey(Job, models.CASCADE, related_name="showing_consents")
    answer = models.CharField(max_length=9, choices=Answer.choices)
    how = models.CharField(max_length=9, choices=How.choices)
    words = models.TextField(blank=True, help_text="what was agreed to, as it was read")
    note = models.CharField(
        max_length=200, blank=True, help_text="who said it and when, of one not given here"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.answer} for job {self.job_id}"


class FinishedBuild(models.Model):
    """A job as visitors see it: words by language, and no word of the customer's.

    It goes, with its photos and their files, when the customer takes the consent back. Without a
    ``published_at`` only staff see it.
    """

    job = models.OneToOneField(Job, models.CASCADE, related_name="finished_build")
    address = models.CharField(max_length=24, unique=True, default=new_address)
    texts = models.JSONField(default=dict, blank=True, help_text="title and text by language")
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    published_at = models.DateTimeField(null=True, blank=True, db_index=True)

    class Meta:
        ordering = ["-published_at", "-pk"]

    def __str__(self) -> str:
        return f"finished build of job {self.job_id}"


def showcase_path(photo: ShownPhoto, filename: str) -> str:
    """Return a random stored name; nothing of the sender's file name survives."""
    return f"finished/{secrets.token_hex(16)}.jpg"


class ShownPhoto(models.Model):
    """A photo chosen for a finished build: a copy of its own, clean, with squares covered.

    ``original`` is the clean copy before anything was covered; nobody is ever given it but staff.
    """

    class Side(models.TextChoices):
        BEFORE = "before", _("before")
        AFTER = "after", _("after")

    build = models.ForeignKey(FinishedBuild, models.CASCADE, related_name="photos")
    address = models.CharField(max_length=24, unique=True, default=new_address)
    side = models.CharField(max_length=6, choices=Side.choices)
    source = models.CharField(max_length=40, help_text="which photo of the job it was made from, or sent")
    original = models.FileField(upload_to=showcase_path)
    image = models.FileField(upload_to=showcase_path)
    thumbnail = models.FileField(upload_to=showcase_path)
    width_px = models.PositiveIntegerField(default=0)
    height_px = models.PositiveIntegerField(default=0)
    covered = models.JSONField(default=list, blank=True, help_text="squares A1 to L8 made unreadable")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["build", "source"], name="a_photo_once_a_build")]

    def __str__(self) -> str:
        return f"{self.side} photo of finished build {self.build_id}"
