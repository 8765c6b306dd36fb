"""Addresses of a job's papers."""

from django.urls import URLPattern, path, re_path

from . import views

job_patterns: list[URLPattern] = [
    path("jobs/<slug:number>/papers/", views.papers, name="job_documents"),
    re_path(r"^jobs/(?P<number>[^/]+)/papers/(?P<kind>[a-z-]+)\.pdf$", views.paper, name="paper"),
]
