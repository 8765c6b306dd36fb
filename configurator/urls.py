"""The customer's addresses."""

from django.urls import URLPattern, path

from . import views

app_name = "configurator"
urlpatterns: list[URLPattern] = [
    path("", views.start, name="start"),
    path("preferences/", views.preferences, name="preferences"),
]
