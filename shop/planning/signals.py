"""What planning announces to the rooms above it, inside the transaction of the change.

``promise_broken``: ``broken``, a fixed date that the plan was just found not to keep.
"""

from __future__ import annotations

from django.dispatch import Signal

promise_broken = Signal()
