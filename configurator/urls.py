"""The customer's addresses."""

from django.urls import URLPattern

app_name = "configurator"
urlpatterns: list[URLPattern] = []
