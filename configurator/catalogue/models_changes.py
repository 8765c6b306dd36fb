"""What became of the catalogue and by whom: drafts that wait, and every row that a version changed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class Release(models.Model):
    """How one version of the catalogue came about; its changes say what it changed."""

    class Origin(models.TextChoices):
        FILES = "files", _("files")
        PAGES = "pages", _("edited")
        PRICE_LIST = "list", _("price list")
        BACK = "back", _("taken back")

    version = models.OneToOneField("CatalogueVersion", models.CASCADE, related_name="release")
    origin = models.CharField(max_length=8, choices=Origin.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    title = models.CharField(max_length=200, blank=True)
    takes_back = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="taken_back_by"
    )
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.version}, {self.origin}"


class RowChange(models.Model):
    """One row in one version: what it said and what it says, field by field, as files would say it.

    Of a row that was there and stays, ``before`` and ``after`` hold only what differs; of one that came or
    went the other side is empty.
    """

    release = models.ForeignKey(Release, models.CASCADE, related_name="changes")
    kind = models.CharField(max_length=20)
    key = models.CharField(max_length=200)
    name = models.CharField(max_length=160, blank=True)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["kind", "key"], name="changes_of_a_row")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class Draft(models.Model):
    """Edits that wait until someone puts them live, all at once; everybody who edits adds to the open one."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        LIVE = "live", _("put live")
        THROWN = "thrown", _("thrown away")

    state = models.CharField(max_length=6, choices=State.choices, default=State.OPEN)
    is_shared = models.BooleanField(default=True, help_text="the one that pages add to")
    made_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    release = models.OneToOneField(Release, models.SET_NULL, null=True, blank=True, related_name="draft")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["state"],
                condition=models.Q(state="open", is_shared=True),
                name="one_shared_draft_is_open",
            )
        ]

    def __str__(self) -> str:
        return f"draft {self.pk}"


class DraftRow(models.Model):
    """One row of a draft: live when it was first touched, and as it is to be; ``None``: not there."""

    draft = models.ForeignKey(Draft, models.CASCADE, related_name="rows")
    kind = models.CharField(max_length=20)
    key = models.CharField(max_length=200)
    base = models.JSONField(null=True)
    data = models.JSONField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["kind", "key"]
        constraints = [models.UniqueConstraint(fields=["draft", "kind", "key"], name="a_row_once_a_draft")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
