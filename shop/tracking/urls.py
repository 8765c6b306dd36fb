"""What a customer sees of a job, by private link."""

from django.urls import URLPattern, path

from . import media, papers, views

app_name = "tracking"
urlpatterns: list[URLPattern] = [
    path("new-link/", views.new_link, name="new_link"),
    path("new-link/sent/", views.link_sent, name="link_sent"),
    path("<str:token>/", views.job, name="job"),
    path("<str:token>/write/", views.write, name="write"),
    path("<str:token>/answer/", views.answer, name="answer"),
    path("<str:token>/accept/", views.accept, name="accept"),
    path("<str:token>/cancel/", views.cancel, name="cancel"),
    path("<str:token>/dates.ics", views.dates, name="dates"),
    path("<str:token>/papers/<slug:slug>.pdf", papers.paper, name="paper"),
    path("<str:token>/photo/<str:photo_token>/<str:size>/", media.own_photo, name="own_photo"),
    path("<str:token>/work/<int:operation_id>/", media.work_photo, name="work_photo"),
]
