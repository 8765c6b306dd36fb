"""Addresses of the plan, of the people in it, and of a job's dates."""

from django.urls import URLPattern, path

from . import views, views_dates, views_people

urlpatterns: list[URLPattern] = [
    path("plan/", views.plan, name="plan"),
    path("plan/make/", views.make, name="plan_make"),
    path("plan/progress/", views.progress, name="plan_progress"),
    path("plan/setup/", views.setup, name="plan_setup"),
    path("plan/setup/<str:kind>/<int:row_id>/", views.change_row, name="plan_change"),
    path("plan/promises/", views_dates.promises, name="promises"),
    path("plan/people/", views_people.people, name="people"),
    path("plan/people/mine/", views_people.mine, name="my_list"),
    path("plan/people/add/<str:kind>/", views_people.add, name="people_add"),
    path("plan/people/<int:person_id>/", views_people.person, name="person"),
    path("plan/people/remove/<str:kind>/<int:row_id>/", views_people.remove, name="people_remove"),
    path("jobs/<str:number>/dates/", views_dates.dates, name="job_dates"),
    path("jobs/<str:number>/dates/fix/", views_dates.fix, name="dates_fix"),
    path("jobs/<str:number>/dates/back/", views_dates.back, name="dates_back"),
    path("jobs/<str:number>/dates/keep/", views_dates.keep, name="dates_keep"),
    path("jobs/<str:number>/dates/stand/", views_dates.stand, name="dates_stand"),
    path("jobs/<str:number>/dates/no/", views_dates.no, name="dates_no"),
]
