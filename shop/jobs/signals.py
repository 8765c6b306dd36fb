"""Where parts, money, messages and tracking hook in, inside the transaction of the change.

``job_moved``: ``job``, ``source``, ``to``, ``entry``. ``job_amended``: ``job``, ``evaluation``.
A receiver that raises undoes the change.
"""

from django.dispatch import Signal

job_moved = Signal()
job_amended = Signal()
