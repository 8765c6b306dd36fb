"""The configurator app: what a customer builds."""

from django.apps import AppConfig


class ConfiguratorConfig(AppConfig):
    """Catalogue, spec and the customer's pages."""

    name = "configurator"
    default_auto_field = "django.db.models.BigAutoField"
