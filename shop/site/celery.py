"""The Celery application: a worker runs with ``celery -A shop.site.celery worker``."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.site.settings")
app = Celery("kerbline")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["configurator.outbox", "shop.messages", "shop.parts", "shop.privacy"])
