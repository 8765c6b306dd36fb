"""Addresses of what is stuck."""

from django.urls import URLPattern, path

from . import views

urlpatterns: list[URLPattern] = [
    path("stuck/", views.stuck, name="stuck"),
    path("stuck/again/", views.all_again, name="all_again"),
    path("stuck/<int:entry_id>/again/", views.again, name="again"),
]
