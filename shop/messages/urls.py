"""Addresses of the workshop's side of the conversation."""

from django.urls import URLPattern, path

from . import views, views_news

urlpatterns: list[URLPattern] = [
    path("told/", views_news.told, name="told"),
    path("jobs/<job:number>/messages/", views.job_messages, name="job_messages"),
    path("jobs/<job:number>/messages/mail/<int:mail_id>/again/", views.mail_again, name="mail_again"),
]
