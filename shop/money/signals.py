"""What money announces to the rooms above it, inside the transaction of the change.

``invoice_issued``: ``invoice``, an invoice or credit note that was just written.
"""

from __future__ import annotations

from django.dispatch import Signal

invoice_issued = Signal()
