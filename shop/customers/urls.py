"""Addresses of customers' records."""

from django.urls import URLPattern, path

from . import views

urlpatterns: list[URLPattern] = [
    path("customers/", views.customers, name="customers"),
    path("customers/same/", views.same, name="customers_same"),
    path("customers/decide/", views.decide, name="customers_decide"),
    path("customers/part/<int:merge_id>/", views.part, name="customers_part"),
    path("customers/<int:key>/", views.customer, name="customer"),
]
