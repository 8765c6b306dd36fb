"""Addresses of finished builds for visitors."""

from django.urls import URLPattern, path

from . import views_public

app_name = "finished"
urlpatterns: list[URLPattern] = [
    path("", views_public.index, name="index"),
    path("photo/<slug:address>/<str:size>/", views_public.photo, name="photo"),
    path("<slug:address>/", views_public.one, name="one"),
    path("<slug:address>/begin/", views_public.begin, name="begin"),
]
