"""What rooms above tracking hear: ``links_asked`` with ``email``, when the links of an address are mailed."""

from __future__ import annotations

from django.dispatch import Signal

links_asked = Signal()
