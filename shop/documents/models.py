"""Papers that were made, kept as files so that opening one again is quick and gives the same paper."""

from __future__ import annotations

import secrets

from django.db import models
from django.utils.translation import gettext_lazy as _


def paper_path(paper: Paper, filename: str) -> str:
    """Return a random stored name, so that no address can be guessed from a job's number."""
    return f"papers/{secrets.token_hex(16)}.pdf"


class Paper(models.Model):
    """One PDF of one kind about one thing; ``digest`` says from which content it was made."""

    class Kind(models.TextChoices):
        QUOTE = "quote", _("quote")
        SPECIFICATION = "specification", _("specification")
        DEPOSIT = "deposit", _("deposit request")
        JOB_SHEET = "job sheet", _("job sheet")
        PURCHASE_ORDER = "purchase order", _("purchase order")
        HANDOVER = "handover", _("handover pack")
        INVOICE = "invoice", _("invoice")

        @property
        def slug(self) -> str:
            """The kind in an address."""
            return self.value.replace(" ", "-")

    kind = models.CharField(max_length=14, choices=Kind.choices)
    about = models.PositiveBigIntegerField(help_text="primary key of the job or the purchase order")
    digest = models.CharField(max_length=64)
    file = models.FileField(upload_to=paper_path)
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [models.UniqueConstraint(fields=["kind", "about"], name="one_paper_a_kind_and_thing")]

    def __str__(self) -> str:
        return f"{self.kind} {self.about}"
