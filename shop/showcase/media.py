"""Stored photos, given out."""

from __future__ import annotations

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404


def give(file: FieldFile) -> FileResponse:
    """Return a stored JPEG, kept by nobody on the way; 404 when it is not there (any more)."""
    try:
        opened = file.open("rb")
    except (FileNotFoundError, ValueError) as error:
        raise Http404 from error
    response = FileResponse(opened, content_type="image/jpeg")
    response["Content-Disposition"] = "inline"
    response["Cache-Control"] = "no-store, private"
    return response
