"""The shop app: what the workshop does with a spec."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ShopConfig(AppConfig):
    """Jobs, planning, parts, money, documents, messages and tracking."""

    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Connect what happens when a spec is sent, and have the staff roles made."""
        from configurator.builds.signals import spec_sent

        from .documents import hooks as documents
        from .jobs.opening import when_spec_sent
        from .jobs.roles import make_roles
        from .jobs.signals import job_moved
        from .messages import hooks as messages
        from .messages import writing  # noqa: F401 - registers the keeper of promised mail
        from .parts.fixtures import register_stock
        from .parts.hooks import when_job_moved
        from .planning import service as planning
        from .tracking import actions  # noqa: F401 - registers the keeper of promised links

        spec_sent.connect(when_spec_sent, dispatch_uid="shop-opens-job")
        job_moved.connect(when_job_moved, dispatch_uid="shop-parts-follow-job")
        job_moved.connect(planning.when_job_moved, dispatch_uid="shop-plan-follows-job")
        register_stock()
        job_moved.connect(messages.when_job_moved, dispatch_uid="shop-messages-follow-job")
        job_moved.connect(documents.when_job_moved, dispatch_uid="shop-papers-follow-job")
        post_migrate.connect(make_roles, sender=self, dispatch_uid="shop-makes-roles")
