"""The shop app: what the workshop does with a spec."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ShopConfig(AppConfig):
    """Jobs, planning, parts, money, documents, messages and tracking."""

    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have each room listen to what it stands on; models exist only now, so imports wait till here."""
        from .jobs.roles import make_roles
        from .wiring import connect

        connect()
        post_migrate.connect(make_roles, sender=self, dispatch_uid="shop-makes-roles")
