"""A bound on each uploaded file, kept while it arrives rather than after."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler


class BoundedUploads(FileUploadHandler):
    """Pass on one byte more than a photo may have and drop the rest, so that it is refused by its size."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Begin to count anew."""
        super().new_file(*args, **kwargs)
        self.left = settings.KERBLINE_PHOTO_MAX_BYTES + 1

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Return what may still be kept of the chunk; ``None`` when nothing more may."""
        kept = raw_data[: self.left] if self.left > 0 else None
        self.left -= len(raw_data)
        return kept

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the handlers after this one."""
        return
