"""Addresses of the plan."""

from django.urls import URLPattern, path

from . import views

urlpatterns: list[URLPattern] = [
    path("plan/", views.plan, name="plan"),
    path("plan/make/", views.make, name="plan_make"),
    path("plan/setup/", views.setup, name="plan_setup"),
    path("plan/setup/<str:kind>/<int:row_id>/", views.change_row, name="plan_change"),
]
