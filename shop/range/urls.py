"""Addresses of the catalogue's pages."""

from django.urls import URLPattern, path

from . import views_draft, views_lists, views_pricelists, views_row, views_sheet

range_patterns: list[URLPattern] = [
    path("", views_lists.overview, name="range"),
    path("prices/", views_sheet.sheet, name="range_prices"),
    path("texts/<slug:language>/", views_sheet.texts, name="range_texts"),
    path("files/", views_sheet.files, name="range_files"),
    path("files/all.zip", views_sheet.download, name="range_download"),
    path("lists/", views_pricelists.lists, name="range_lists"),
    path("lists/<int:list_id>/", views_pricelists.one_list, name="range_list"),
    path("lists/<int:list_id>/columns/", views_pricelists.columns, name="range_columns"),
    path("lists/<int:list_id>/confirm/", views_pricelists.confirm, name="range_confirm"),
    path("lists/<int:list_id>/throw-away/", views_pricelists.throw_list_away, name="range_throw_list"),
    path("draft/", views_draft.draft, name="range_draft"),
    path("draft/try/", views_draft.try_out, name="range_try"),
    path("draft/put-live/", views_draft.put_live, name="range_put_live"),
    path("draft/throw-away/", views_draft.throw_away, name="range_throw_away"),
    path("draft/rows/<int:row_id>/take-out/", views_draft.drop, name="range_drop"),
    path("versions/", views_draft.versions, name="range_versions"),
    path("versions/<int:release_id>/", views_draft.version, name="range_version"),
    path("versions/<int:release_id>/take-back/", views_draft.take_back, name="range_take_back"),
    path("rows/<slug:kind>/", views_lists.rows, name="range_rows"),
    path("rows/<slug:kind>/add/", views_row.add, name="range_add"),
    path("rows/<slug:kind>/history/<path:key>/", views_row.row_history, name="range_history"),
    path("rows/<slug:kind>/retire/<path:key>/", views_row.retire, name="range_retire"),
    path("rows/<slug:kind>/row/<path:key>/", views_row.row, name="range_row"),
]
