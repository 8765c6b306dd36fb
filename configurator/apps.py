"""The configurator app: what a customer builds."""

from django.apps import AppConfig


class ConfiguratorConfig(AppConfig):
    """Catalogue, spec and the customer's pages."""

    name = "configurator"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have the keepers of promises registered in every process, one without addresses too."""
        from .builds import confirming, photos  # noqa: F401 - models exist only now
