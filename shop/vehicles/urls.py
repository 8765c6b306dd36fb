"""Addresses of vehicles: kept up, measured, drawn."""

from django.urls import URLPattern, path

from . import views, views_drawing, views_measuring

vehicle_patterns: list[URLPattern] = [
    path("", views.vehicles, name="vehicles"),
    path("add/", views.add, name="vehicle_add"),
    path("readings/<int:reading_id>/doubt/", views_measuring.dispute, name="reading_doubt"),
    path("readings/<int:reading_id>/photo/", views_measuring.photo, name="reading_photo"),
    path("<str:code>/", views.vehicle, name="vehicle"),
    path("<str:code>/change/", views.change, name="vehicle_change"),
    path("<str:code>/draw/", views_drawing.draw, name="vehicle_draw"),
    path("<str:code>/draw/shown/", views_drawing.shown, name="vehicle_drawn"),
    path("<str:code>/from-job/<int:measurement_id>/", views_measuring.take_over, name="vehicle_from_job"),
    path("<str:code>/<str:position>/card.pdf", views_measuring.card, name="measuring_card"),
    path("<str:code>/<str:position>/measure/", views_measuring.measure, name="vehicle_measure"),
]
