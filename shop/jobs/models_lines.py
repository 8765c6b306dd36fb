"""How a job came in when not by the page, its free lines, and changes proposed after both had agreed."""

from __future__ import annotations

import secrets
from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from configurator.models import SpecRevision

from .models import Job


class Entry(models.Model):
    """What is known of a job that staff entered, or that follows from another one."""

    class Kind(models.TextChoices):
        BY_HAND = "by hand", _("entered by the workshop")
        WARRANTY = "warranty", _("warranty visit")
        COMPLAINT = "complaint", _("complaint")

    job = models.OneToOneField(Job, models.CASCADE, primary_key=True, related_name="entry")
    kind = models.CharField(max_length=9, choices=Kind.choices)
    follows = models.ForeignKey(
        Job, models.PROTECT, null=True, blank=True, related_name="followed_by", help_text="the first job"
    )
    vehicle = models.CharField(max_length=120, blank=True, help_text="as staff named it")
    deposit = models.DecimalField(
        max_digits=12, decimal_places=2, null=True, blank=True, help_text="empty: by the workshop's policy"
    )
    press = models.CharField(max_length=40, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "entries"

    def __str__(self) -> str:
        return f"{self.kind}: {self.job_id}"

    @property
    def is_at_our_cost(self) -> bool:
        """Whether the customer pays nothing for it unless something is added."""
        return self.kind in (self.Kind.WARRANTY, self.Kind.COMPLAINT)


def found_photo_path(proposal: Proposal, filename: str) -> str:
    """Return a random stored name; nothing of the sender's file name survives."""
    return f"found/{secrets.token_hex(16)}.jpg"


class Proposal(models.Model):
    """A change to an agreed job that waits for the customer's yes, and what came of it.

    Extra work that was found holds lines alone; another build holds a selection with the evaluation that it
    was offered on. What is agreed becomes the job's next revision; until then nothing of it is done.
    """

    class State(models.TextChoices):
        OPEN = "open", _("waits for the customer")
        AGREED = "agreed", _("agreed")
        REFUSED = "refused", _("the customer said no")
        WITHDRAWN = "withdrawn", _("withdrawn")

    job = models.ForeignKey(Job, models.CASCADE, related_name="proposals")
    number = models.PositiveSmallIntegerField(help_text="counts a job's proposals")
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    why = models.TextField(help_text="as the customer reads it")
    selection = models.JSONField(null=True, blank=True)
    build = models.JSONField(null=True, blank=True, help_text="the evaluation of the selection, as offered")
    drops = models.JSONField(default=list, blank=True, help_text="numbers of lines that go")
    photo = models.FileField(upload_to=found_photo_path, blank=True)
    press = models.CharField(max_length=40, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    said_by = models.CharField(max_length=120, blank=True, help_text="who said yes or no by telephone")
    answer = models.TextField(blank=True, help_text="the customer's words, or why it was withdrawn")
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    answered_at = models.DateTimeField(null=True, blank=True)
    revision = models.ForeignKey(
        SpecRevision, models.PROTECT, null=True, blank=True, related_name="+", help_text="what it became"
    )

    class Meta:
        ordering = ["job", "number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="one_proposal_a_number")]
        indexes = [
            models.Index(fields=["job"], condition=models.Q(state="open"), name="proposal_open"),
            models.Index(fields=["state", "answered_at"], name="proposal_by_answer"),
        ]

    def __str__(self) -> str:
        return f"proposal {self.number} of job {self.job_id}"

    @property
    def is_build(self) -> bool:
        """Whether the build itself is to change, and not lines alone."""
        return self.selection is not None


class JobLine(models.Model):
    """One free line of a job: what is done or charged, how long it takes, where, and what it costs."""

    class Kind(models.TextChoices):
        REPAIR = "repair", _("repair")
        DIPPING = "dipping", _("coating by dipping")
        PAINTING = "painting", _("painting")
        FITTING = "fitting", _("fitting")
        CHARGE = "charge", _("charge without work")

    class State(models.TextChoices):
        PROPOSED = "proposed", _("proposed")
        IN_FORCE = "in force", _("in force")
        GONE = "gone", _("taken off")

    job = models.ForeignKey(Job, models.CASCADE, related_name="lines")
    number = models.PositiveSmallIntegerField(help_text="names its steps and its price for good")
    state = models.CharField(max_length=8, choices=State.choices, default=State.IN_FORCE)
    proposal = models.ForeignKey(Proposal, models.CASCADE, null=True, blank=True, related_name="lines")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.REPAIR)
    label = models.CharField(max_length=160)
    hands_on_h = models.FloatField(default=0, validators=[MinValueValidator(0)])
    wait_h = models.FloatField(default=0, validators=[MinValueValidator(0)], help_text="drying, curing")
    resource = models.CharField(max_length=6, default="bay")
    amount = models.DecimalField(
        max_digits=12, decimal_places=2, validators=[MinValueValidator(Decimal(0))], help_text="tax included"
    )
    wheels = models.JSONField(default=list, blank=True, help_text="[axle, torque in N m, fasteners] each")

    class Meta:
        ordering = ["job", "number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="one_line_a_number")]

    def __str__(self) -> str:
        return self.label
