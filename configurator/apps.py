"""The configurator app: what a customer builds."""

from django.apps import AppConfig


class ConfiguratorConfig(AppConfig):
    """Catalogue, spec and the customer's pages."""

    name = "configurator"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Register who keeps promises and who looks at catalogues, in every process."""
        from .builds import confirming, never_sent, photos  # noqa: F401 - models exist only now
