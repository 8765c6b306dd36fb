"""Where the shop hooks in, so that the configurator need not know of it.

``spec_sent`` is sent inside the sending transaction with ``revision=SpecRevision``; a receiver that
raises undoes the sending. A receiver returns the address the customer should see next.
"""

from django.dispatch import Signal

spec_sent = Signal()
