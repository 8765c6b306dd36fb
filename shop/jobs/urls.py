"""Addresses of inbox, jobs, review and bench."""

from django.urls import URLPattern, path, register_converter

from . import (
    views,
    views_amend,
    views_bench,
    views_bookin,
    views_changes,
    views_desk,
    views_entry,
    views_review,
)


class JobNumber:
    """A job's number in an address, such as K-2026-0001."""

    regex = "[A-Z]{1,4}-[0-9]{4}-[0-9]{4,9}"

    def to_python(self, value: str) -> str:
        """Return the number."""
        return value

    def to_url(self, value: str) -> str:
        """Return the number."""
        return value


register_converter(JobNumber, "job")

urlpatterns: list[URLPattern] = [
    path("", views.inbox, name="inbox"),
    path("jobs/", views.jobs, name="jobs"),
    path("jobs/list.csv", views.jobs_csv, name="jobs_csv"),
    path("jobs/new/", views_entry.new_job, name="new_job"),
    path("jobs/<job:number>/", views.job, name="job"),
    path("jobs/<job:number>/visit/", views_entry.follow, name="follow"),
    path("jobs/<job:number>/book-in/", views_bookin.book_in, name="book_in"),
    path("jobs/<job:number>/book-in/photo/", views_bookin.add_photo, name="book_in_add_photo"),
    path("jobs/<job:number>/book-in/photo/<int:which>/", views_bookin.photo, name="book_in_photo"),
    path("jobs/<job:number>/book-in/mark/", views_bookin.add_mark, name="book_in_mark"),
    path(
        "jobs/<job:number>/book-in/remove/<slug:what>/<int:which>/",
        views_bookin.remove,
        name="book_in_remove",
    ),
    path("jobs/<job:number>/book-in/done/", views_bookin.complete, name="book_in_complete"),
    path("jobs/<job:number>/changes/", views_changes.page, name="changes"),
    path("jobs/<job:number>/changes/<int:which>/said/", views_changes.said, name="change_said"),
    path("jobs/<job:number>/changes/<int:which>/back/", views_changes.withdraw, name="change_withdrawn"),
    path("jobs/<job:number>/changes/<int:which>/photo/", views_changes.photo, name="change_photo"),
    path("jobs/<job:number>/do/", views.act, name="act"),
    path("jobs/<job:number>/notes/", views_desk.notes, name="job_notes"),
    path("jobs/<job:number>/notes/add/", views_desk.add_note, name="add_note"),
    path("jobs/<job:number>/telephone/", views_desk.telephone_yes, name="telephone_yes"),
    path("jobs/<job:number>/contact/", views_desk.correct, name="correct_contact"),
    path("jobs/<job:number>/review/", views_review.review, name="review"),
    path("jobs/<job:number>/measured/", views_review.measured, name="measured"),
    path(
        "jobs/<job:number>/difference/<int:before>/<int:after>/", views_review.difference, name="difference"
    ),
    path("jobs/<job:number>/change/", views_amend.change, name="amend"),
    path("jobs/<job:number>/bench/", views_bench.checklist, name="bench"),
    path("jobs/<job:number>/bench/<int:step_id>/", views_bench.step, name="bench_step"),
    path("jobs/<job:number>/bench/<int:step_id>/photo/", views_bench.step_photo, name="step_photo"),
    path("jobs/<job:number>/photos/<slug:token>/<str:size>/", views_review.photo, name="photo"),
]
