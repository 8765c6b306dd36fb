"""Files and mail in folders of one machine, whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.core.files.storage import FileSystemStorage
from django.core.mail import EmailMessage
from django.core.mail.backends import filebased


class Folder(FileSystemStorage):
    """A folder in which no half of a file stays behind."""

    def _save(self, name: str, content: Any) -> str:
        path = Path(self.path(name))
        was_there = path.exists()
        try:
            return super()._save(name, content)  # type: ignore[misc]
        except OSError:
            if not was_there:
                path.unlink(missing_ok=True)
            raise


class MailFolder(filebased.EmailBackend):
    """A mail a file; one that could not be written leaves none, and its promise is tried again."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """Write the mails; raise OSError when there is no room."""
        try:
            return int(super().send_messages(email_messages) or 0)
        except OSError:
            stream, self.stream = self.stream, None  # type: ignore[assignment]
            path, self._fname = Path(self._get_filename()), None  # type: ignore[attr-defined]
            try:
                if stream:
                    stream.close()
            except OSError:
                pass  # what could not be written is thrown away below
            path.unlink(missing_ok=True)
            raise
