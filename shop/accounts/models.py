"""How each of the staff likes the pages: kept with the account, so that it is so on every device."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class StaffPreference(models.Model):
    """Language, light or dark, and units of one account; what is empty follows the device."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="preference")
    language = models.CharField(max_length=12, blank=True)
    theme = models.CharField(max_length=5, blank=True)
    units = models.CharField(max_length=2, blank=True)

    def __str__(self) -> str:
        return f"preferences of {self.user}"
