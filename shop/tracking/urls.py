"""What a customer sees of a job, by private link."""

from django.urls import URLPattern, path

from . import (
    media,
    papers,
    showing,
    views,
    views_adding,
    views_calendar,
    views_contact,
    views_pay,
    views_proposals,
)

app_name = "tracking"
urlpatterns: list[URLPattern] = [
    path("new-link/", views.new_link, name="new_link"),
    path("new-link/sent/", views.link_sent, name="link_sent"),
    path("new-address/<slug:token>/", views_contact.new_address, name="new_address"),
    path("<slug:token>/", views.job, name="job"),
    path("<slug:token>/write/", views.write, name="write"),
    path("<slug:token>/days/", views.days, name="days"),
    path("<slug:token>/answer/", views.answer, name="answer"),
    path("<slug:token>/accept/", views.accept, name="accept"),
    path("<slug:token>/change/<int:number>/", views_proposals.change, name="change"),
    path("<slug:token>/change/<int:number>/photo/", views_proposals.change_photo, name="change_photo"),
    path("<slug:token>/address/", views.address, name="address"),
    path("<slug:token>/phone/", views_contact.phone, name="phone"),
    path("<slug:token>/mail/", views_contact.mail, name="mail"),
    path("<slug:token>/photos/", views_adding.photos, name="photos"),
    path("<slug:token>/photos/<slug:photo_token>/remove/", views_adding.photo_away, name="photo_away"),
    path("<slug:token>/pay/", views_pay.pay, name="pay"),
    path("<slug:token>/pay/code.png", views_pay.picture, name="pay_picture"),
    path("<slug:token>/showing/", showing.showing, name="showing"),
    path("<slug:token>/cancel/", views.cancel, name="cancel"),
    path("<slug:token>/unshare/", views.unshare, name="unshare"),
    path("<slug:token>/dates.ics", views.dates, name="dates"),
    path("<slug:token>/papers/<slug:slug>.pdf", papers.paper, name="paper"),
    path("<slug:token>/photo/<slug:photo_token>/<str:size>/", media.own_photo, name="own_photo"),
    path("<slug:token>/work/<int:operation_id>/", media.work_photo, name="work_photo"),
]

staff_patterns: list[URLPattern] = [
    path("", views_calendar.calendar_page, name="calendar"),
    path("new/", views_calendar.calendar_new, name="calendar_new"),
    path("end/", views_calendar.calendar_end, name="calendar_end"),
]
feed_patterns: list[URLPattern] = [
    path("calendar/<slug:token>.ics", views_calendar.calendar_feed, name="calendar"),
]
