"""What a customer sees of a job, by private link."""

from django.urls import URLPattern

app_name = "tracking"
urlpatterns: list[URLPattern] = []
