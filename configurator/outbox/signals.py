"""What the outbox announces: ``given_up``, with the ``entry`` that will not be tried again by itself."""

from __future__ import annotations

from django.dispatch import Signal

given_up = Signal()
