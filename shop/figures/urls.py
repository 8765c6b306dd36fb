"""Address of the manager's figures."""

from django.urls import URLPattern, path

from . import views

urlpatterns: list[URLPattern] = [path("numbers/", views.numbers, name="numbers")]
