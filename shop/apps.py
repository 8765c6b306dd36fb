"""The shop app: what the workshop does with a spec."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """Jobs, planning, parts, money, documents, messages and tracking."""

    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"
