"""The workshop's addresses, all behind a staff login."""

from django.urls import URLPattern, URLResolver

app_name = "shop"
urlpatterns: list[URLPattern | URLResolver] = []
