"""Where the shop hooks in, so that the configurator need not know of it.

``spec_sent`` is sent inside the sending transaction with ``revision=SpecRevision`` and ``made``, which is
False when it had been sent before; a receiver that raises undoes the sending. A receiver returns the address
the customer should see next.
``address_asked`` is sent with ``spec=Spec``: a receiver returns where the build, once sent, is followed now.
"""

from django.dispatch import Signal

spec_sent = Signal()
address_asked = Signal()
