"""The workshop's addresses, all behind a staff login; each part lists its own."""

from django.urls import URLPattern, URLResolver

from .jobs.urls import urlpatterns as of_jobs
from .messages.urls import urlpatterns as of_messages
from .planning.urls import urlpatterns as of_planning

app_name = "shop"
urlpatterns: list[URLPattern | URLResolver] = [*of_jobs, *of_planning, *of_messages]
