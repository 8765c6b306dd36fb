"""Addresses of what is shown to visitors."""

from django.urls import URLPattern, path

from . import views_looks

staff_patterns: list[URLPattern] = [
    path("looks/", views_looks.looks, name="looks"),
    path("looks/begin/", views_looks.begin, name="look_begin"),
    path("looks/keep/<slug:key>/", views_looks.keep, name="look_keep"),
    path("looks/<str:code>/words/", views_looks.words, name="look_words"),
    path("looks/<str:code>/act/", views_looks.act, name="look_act"),
]
