"""A job, its steps of work and what was measured at the vehicle."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

from configurator.builds.tokens import Link, new_nonce
from configurator.models import Spec, SpecRevision

from .states import CLOSED, State

JOB_LINK = Link("job")
LINK_FIELDS = (*JOB_LINK.fields, "token_expires_at")
LINK_LASTS = timedelta(days=180)


def link_expiry() -> datetime:
    """Return when a customer's private link made now stops working."""
    return timezone.now() + LINK_LASTS


class NumberSeries(models.Model):
    """The last number given out of one series in one year; its row is the lock."""

    series = models.CharField(max_length=10)
    year = models.PositiveSmallIntegerField()
    last = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["series", "year"], name="one_counter_a_series_and_year")
        ]

    def __str__(self) -> str:
        return f"{self.series}-{self.year}: {self.last}"


class Job(models.Model):
    """What the workshop does with one spec. It is made from a frozen revision and nothing else."""

    number = models.CharField(max_length=20, unique=True)
    spec = models.OneToOneField(Spec, models.PROTECT, related_name="job")
    revision = models.ForeignKey(
        SpecRevision, models.PROTECT, related_name="+", help_text="what is worked on now"
    )
    workshop_agreed_revision = models.ForeignKey(
        SpecRevision, models.PROTECT, related_name="+", null=True, blank=True
    )
    customer_agreed_revision = models.ForeignKey(
        SpecRevision, models.PROTECT, related_name="+", null=True, blank=True
    )
    agreed_revision = models.ForeignKey(
        SpecRevision, models.PROTECT, related_name="+", null=True, blank=True, help_text="both said yes"
    )
    state = models.CharField(max_length=16, choices=State.choices, default=State.SENT, db_index=True)
    state_since = models.DateTimeField(default=timezone.now)
    version = models.PositiveIntegerField(default=1, help_text="counts changes; forms carry it back")
    token = JOB_LINK
    nonce = models.CharField(max_length=40, default=new_nonce)
    digest = models.CharField(max_length=64, unique=True)
    old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    token_expires_at = models.DateTimeField(default=link_expiry)
    reviewer = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    on_hold_reason = models.TextField(blank=True, help_text="as a person typed it")
    hold_id = models.CharField(
        max_length=20, blank=True, help_text="why the program holds it up: a sentence of ``said``"
    )
    hold_figures = models.JSONField(default=dict, blank=True)
    held = models.BooleanField(default=False, db_default=False, help_text="kept with why it is held up")
    deposit_paid_at = models.DateTimeField(null=True, blank=True)
    booked_start = models.DateTimeField(null=True, blank=True)
    promised_ready_at = models.DateTimeField(null=True, blank=True)
    handed_over_at = models.DateTimeField(null=True, blank=True)
    recheck_due_on = models.DateField(null=True, blank=True)
    opened_at = models.DateTimeField(default=timezone.now)
    last_who = models.CharField(max_length=150, blank=True, help_text="of the newest history entry")
    last_action = models.CharField(max_length=60, blank=True, help_text="of the newest history entry")
    sort_name = models.CharField(max_length=80, blank=True, help_text="the customer's name, as lists sort it")

    class Meta:
        ordering = ["-opened_at", "-pk"]
        indexes = [
            models.Index(fields=["-opened_at", "-id"], name="job_newest"),
            models.Index(fields=["state_since", "id"], name="job_longest_waiting"),
            models.Index(fields=["sort_name", "id"], name="job_by_name"),
            models.Index(fields=["state", "state_since", "id"], name="job_longest_in_state"),
            models.Index(fields=["state_since", "id"], condition=models.Q(held=True), name="job_held"),
            models.Index(fields=["recheck_due_on"], name="job_to_recheck"),
        ]

    def __str__(self) -> str:
        return self.number

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store it, a new one with the digest of its link."""
        JOB_LINK.fill(self)
        self.held = self.is_held
        super().save(*args, **kwargs)

    @property
    def is_held(self) -> bool:
        """Whether something holds it up; ``said.hold_of`` tells what. A closed job waits for nothing."""
        return not self.is_closed and bool(self.hold_id or self.on_hold_reason)

    @property
    def is_closed(self) -> bool:
        """Whether nothing more happens to it."""
        return self.state in CLOSED

    def renew_link(self) -> None:
        """Set a new link and a new expiry; the caller saves ``LINK_FIELDS``."""
        JOB_LINK.renew(self)
        self.token_expires_at = link_expiry()

    @property
    def link_is_live(self) -> bool:
        """Whether the customer's private link still works."""
        return timezone.now() < self.token_expires_at


class JobWords(models.Model):
    """Everything that a job is found by, apart from its row so that lists stay narrow."""

    job = models.OneToOneField(Job, models.CASCADE, related_name="words", primary_key=True)
    text = models.TextField(help_text="letters and digits alone, one fact after another")

    class Meta:
        verbose_name_plural = "job words"

    def __str__(self) -> str:
        return f"words of {self.job_id}"


def bench_photo_path(operation: JobOperation, filename: str) -> str:
    """Return a random stored name; nothing of the sender's file name survives."""
    return f"bench/{secrets.token_hex(16)}.jpg"


class JobOperation(models.Model):
    """One step of work of a job, from the agreed evaluation; ticked at the bench."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="operations")
    position = models.PositiveSmallIntegerField()
    key = models.CharField(max_length=200)
    stage = models.CharField(max_length=12)
    name = models.CharField(max_length=240)
    hands_on_h = models.FloatField(default=0)
    wait_h = models.FloatField(default=0)
    resource = models.CharField(max_length=6)
    after = models.JSONField(default=list, blank=True, help_text="keys that come before it")
    for_choices = models.JSONField(default=list, blank=True)
    for_names = models.JSONField(default=list, blank=True)
    caution = models.TextField(blank=True)
    paint = models.JSONField(default=dict, blank=True)
    torque_nm = models.FloatField(null=True, blank=True)
    fastener_count = models.PositiveSmallIntegerField(default=0, help_text="0: not known")
    axle = models.CharField(max_length=5, blank=True)
    bay = models.ForeignKey("shop.Bay", models.SET_NULL, related_name="operations", null=True, blank=True)
    person = models.ForeignKey(
        "shop.Person", models.SET_NULL, related_name="operations", null=True, blank=True, help_text="planned"
    )
    planned_start = models.DateTimeField(null=True, blank=True)
    planned_end = models.DateTimeField(null=True, blank=True, help_text="hands off")
    planned_free = models.DateTimeField(null=True, blank=True, help_text="wait over: the next may start")
    is_critical = models.BooleanField(default=False)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    is_skipped = models.BooleanField(default=False)
    reason = models.CharField(max_length=300, blank=True, help_text="why skipped or out of order")
    note = models.CharField(max_length=300, blank=True)
    photo = models.FileField(upload_to=bench_photo_path, blank=True)
    photo_for_customer = models.BooleanField(default=False)
    torque_readings = models.JSONField(default=list, blank=True, help_text="N m, one a fastener, in order")

    class Meta:
        ordering = ["job", "position"]
        constraints = [models.UniqueConstraint(fields=["job", "key"], name="one_step_a_job_and_key")]
        indexes = [models.Index(fields=["planned_start"], name="step_by_planned_start")]

    def __str__(self) -> str:
        return self.name


class Measurement(models.Model):
    """A fit check settled at the vehicle: what was measured, by whom, and the verdict it gives."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="measurements")
    revision = models.ForeignKey(SpecRevision, models.PROTECT, related_name="+")
    axle = models.CharField(max_length=5)
    check_id = models.CharField(max_length=40)
    value = models.FloatField()
    uncertainty = models.FloatField(help_text="of the measuring, same unit")
    unit = models.CharField(max_length=10, blank=True)
    margin = models.FloatField()
    verdict = models.CharField(max_length=8)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["verdict"], name="measurement_by_verdict")]

    def __str__(self) -> str:
        return f"{self.check_id} {self.axle}: {self.value} {self.unit}"
