"""Addresses of a job's papers and of an order's."""

from django.urls import URLPattern, path, re_path

from . import views

job_patterns: list[URLPattern] = [
    path("jobs/<slug:number>/papers/", views.papers, name="job_documents"),
    path("jobs/<slug:number>/invoices/<slug:invoice>.pdf", views.invoice_paper, name="invoice_paper"),
    re_path(r"^jobs/(?P<number>[^/]+)/papers/(?P<kind>[a-z-]+)\.pdf$", views.paper, name="paper"),
]
order_patterns: list[URLPattern] = [
    # The order's other files stand with parts; one name serves them all.
    re_path(r"^(?P<number>[^/]+)/file\.(?P<form>pdf)$", views.order_paper, name="order_file"),
]
