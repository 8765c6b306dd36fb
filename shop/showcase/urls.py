"""Addresses of what is shown to visitors."""

from django.urls import URLPattern, path

from . import views_finished, views_looks

staff_patterns: list[URLPattern] = [
    path("looks/", views_looks.looks, name="looks"),
    path("looks/begin/", views_looks.begin, name="look_begin"),
    path("looks/keep/<slug:key>/", views_looks.keep, name="look_keep"),
    path("looks/<str:code>/words/", views_looks.words, name="look_words"),
    path("looks/<str:code>/act/", views_looks.act, name="look_act"),
    path("finished/", views_finished.finished, name="finished"),
    path("finished/<str:number>/", views_finished.prepare, name="finished_one"),
    path("finished/<str:number>/consent/", views_finished.record_consent, name="finished_consent"),
    path("finished/<str:number>/act/", views_finished.act, name="finished_act"),
    path("finished/<str:number>/photos/", views_finished.photo_choose, name="finished_choose"),
    path("finished/<str:number>/source/<slug:key>/", views_finished.photo_source, name="finished_source"),
    path("finished/<str:number>/photos/<int:photo_id>/out/", views_finished.photo_out, name="finished_out"),
    path(
        "finished/<str:number>/photos/<int:photo_id>/cover/",
        views_finished.photo_cover,
        name="finished_cover",
    ),
    path(
        "finished/<str:number>/photos/<int:photo_id>/original/",
        views_finished.photo_original,
        name="finished_original",
    ),
]
