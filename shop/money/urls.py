"""Addresses of deposits, statements and a job's account."""

from django.urls import URLPattern, path

from . import views, views_accounts, views_invoices, views_refunds, views_statements, views_unmatched

money_patterns: list[URLPattern] = [
    path("", views.money, name="money"),
    path("day/", views_accounts.day, name="money_day"),
    path("customer/", views_accounts.customer, name="customer_account"),
    path("invoices/", views_invoices.invoices, name="invoices"),
    path("export/", views_invoices.export, name="money_export"),
    path("statements/", views_statements.statements, name="statements"),
    path("statements/<int:file_id>/", views_statements.statement, name="statement"),
    path("statements/look/<int:draft_id>/", views_statements.draft, name="draft"),
    path("statements/look/<int:draft_id>/columns/", views_statements.columns, name="columns"),
    path("statements/look/<int:draft_id>/take-in/", views_statements.take_in, name="take_in"),
    path("statements/look/<int:draft_id>/throw-away/", views_statements.throw_away, name="throw_away"),
    path("unmatched/", views_unmatched.unmatched, name="unmatched"),
    path("entries/<int:entry_id>/match/", views_unmatched.match, name="match_entry"),
    path("entries/<int:entry_id>/split/", views_unmatched.split, name="split_entry"),
    path("entries/<int:entry_id>/bounce/", views_unmatched.bounce, name="bounce_entry"),
    path("entries/<int:entry_id>/same/", views_unmatched.same, name="settle_doubt"),
    path("entries/<int:entry_id>/aside/", views_unmatched.aside, name="set_aside"),
    path("entries/<int:entry_id>/reopen/", views_unmatched.reopen, name="reopen_entry"),
]
job_patterns: list[URLPattern] = [
    path("jobs/<slug:number>/money/", views.job_money, name="job_money"),
    path("jobs/<slug:number>/money/pay/", views.pay, name="pay"),
    path("jobs/<slug:number>/money/undo/<int:payment_id>/", views.undo, name="undo_payment"),
    path("jobs/<slug:number>/money/refund/", views_refunds.refund, name="refund"),
    path(
        "jobs/<slug:number>/money/refund/<int:refund_id>/paid/", views_refunds.refund_paid, name="refund_paid"
    ),
    path(
        "jobs/<slug:number>/money/refund/<int:refund_id>/withdrawn/",
        views_refunds.refund_withdrawn,
        name="refund_withdrawn",
    ),
    path("jobs/<slug:number>/money/address/", views_invoices.address, name="billing_address"),
    path("jobs/<slug:number>/money/invoice/", views_invoices.issue, name="issue_invoice"),
    path(
        "jobs/<slug:number>/money/invoice/<int:invoice_id>/credit/",
        views_invoices.credit,
        name="credit_invoice",
    ),
    path("jobs/<slug:number>/money/owed/", views_refunds.owed, name="owed"),
    path("jobs/<slug:number>/money/reduce/", views.reduce, name="reduce"),
]
