"""Addresses of requests: the customer's, by private link, and staff's."""

from django.urls import URLPattern, path

from . import views, views_page, views_staff

app_name = "wanted"
urlpatterns: list[URLPattern] = [
    path("", views.ask, name="ask"),
    path("waiting/", views.waiting, name="waiting"),
    path("<slug:token>/", views_page.page, name="page"),
    path("<slug:token>/photo/<slug:photo>/<str:size>/", views_page.photo, name="photo"),
]
staff_patterns: list[URLPattern] = [
    path("", views_staff.requests, name="wanted"),
    path("new/", views_staff.new, name="wanted_new"),
    path("<int:pk>/", views_staff.one, name="wanted_one"),
    path("<int:pk>/photo/<int:photo_id>/<str:size>/", views_staff.photo, name="wanted_photo"),
    path("<int:pk>/mails/<int:mail_id>/again/", views_staff.mail_again, name="wanted_mail_again"),
    path("<int:pk>/forget/", views_staff.forget, name="wanted_forget"),
]
