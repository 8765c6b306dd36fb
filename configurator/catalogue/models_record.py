"""What the catalogue keeps about itself: its versions, and its texts in other languages."""

from __future__ import annotations

from django.db import models


class CatalogueVersion(models.Model):
    """One accepted state of the catalogue; specs and jobs remember which one they were made from."""

    number = models.PositiveIntegerField(unique=True)
    digest = models.CharField(max_length=64)
    made_at = models.DateTimeField(auto_now_add=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"catalogue {self.number}"


class CatalogueText(models.Model):
    """A text of the catalogue in another language; see ``texts`` for how rows find what they translate."""

    language = models.CharField(max_length=12, help_text="as in texts.de.csv: de")
    kind = models.CharField(max_length=20, help_text="whose text it is: options, rules, recipes")
    code = models.CharField(max_length=60, blank=True, help_text="the row's code; empty: wherever it stands")
    field = models.CharField(max_length=40)
    source = models.TextField(blank=True, help_text="the text that this one was translated from")
    text = models.TextField()

    class Meta:
        ordering = ["language", "kind", "code", "field", "pk"]

    def __str__(self) -> str:
        return f"{self.language}: {self.text[:60]}"
