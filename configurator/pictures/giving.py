"""Stored photos, given out only by views that have asked who may see them. There is no public folder."""

from __future__ import annotations

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404


def give(file: FieldFile) -> FileResponse:
    """Return a stored JPEG; 404 when it is not there (any more)."""
    if not file:
        raise Http404
    try:
        opened = file.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    response = FileResponse(opened, content_type="image/jpeg")
    response["Content-Disposition"] = "inline"
    return response
