"""The workshop's addresses, all behind a staff login; each part lists its own."""

from django.urls import URLPattern, URLResolver

from .messages.urls import urlpatterns as of_messages

app_name = "shop"
urlpatterns: list[URLPattern | URLResolver] = [*of_messages]
