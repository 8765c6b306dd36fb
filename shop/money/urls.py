"""Addresses of deposits, statements and a job's account."""

from django.urls import URLPattern, path

from . import views, views_statements

money_patterns: list[URLPattern] = [
    path("", views.money, name="money"),
    path("statements/", views_statements.statements, name="statements"),
    path("statements/<int:file_id>/", views_statements.statement, name="statement"),
    path("unmatched/", views_statements.unmatched, name="unmatched"),
    path("entries/<int:entry_id>/match/", views_statements.match, name="match_entry"),
    path("entries/<int:entry_id>/aside/", views_statements.aside, name="set_aside"),
    path("entries/<int:entry_id>/reopen/", views_statements.reopen, name="reopen_entry"),
]
job_patterns: list[URLPattern] = [
    path("jobs/<slug:number>/money/", views.job_money, name="job_money"),
    path("jobs/<slug:number>/money/pay/", views.pay, name="pay"),
    path("jobs/<slug:number>/money/undo/<int:payment_id>/", views.undo, name="undo_payment"),
    path("jobs/<slug:number>/money/refund/", views.refund, name="refund"),
    path("jobs/<slug:number>/money/refund/<int:refund_id>/paid/", views.refund_paid, name="refund_paid"),
]
