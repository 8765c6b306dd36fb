"""The workshop's addresses, all behind a staff login; each part lists its own."""

from django.urls import URLPattern, URLResolver

from .jobs.urls import urlpatterns as of_jobs
from .messages.urls import urlpatterns as of_messages

app_name = "shop"
