"""Addresses of the settings, and of the workshop's look."""

from django.urls import URLPattern, path, re_path

from . import look, views

settings_patterns: list[URLPattern] = [
    path("", views.settings_list, name="settings"),
    re_path(r"^site/(?P<deed>open|close)/$", views.open_or_close, name="open_or_close"),
    path("undo/<int:change_id>/", views.undo, name="setting_undo"),
    path("<slug:step>/", views.setting, name="setting"),
]
look_patterns: list[URLPattern] = [
    re_path(r"^look/(?P<accent>[0-9a-f]{6})\.css$", look.style_sheet, name="look_sheet"),
    re_path(r"^look/(?P<name>[0-9a-f]{16})\.png$", look.logo, name="look_logo"),
]
