"""Addresses of what is kept about customers."""

from django.urls import URLPattern, path

from . import views

privacy_patterns: list[URLPattern] = [
    path("", views.privacy, name="privacy"),
    path("export/", views.export_zip, name="export_customer"),
    path("forget/", views.forget_customer, name="forget_customer"),
]
