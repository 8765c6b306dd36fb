"""Who may do what with money: looking, taking it at the counter, deciding.

Whoever hands vehicles over takes what is paid at the counter. Undoing, refunding, reducing and what is
owed for a job that was called off are the manager's. Technicians and buyers see no prices, so they neither
take money nor look at it; a vehicle that is not paid for is handed over by someone who can see that.
"""

from __future__ import annotations

from typing import Any

from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER, REVIEWER

LOOKS = (MANAGER, REVIEWER)
TAKES = (MANAGER, REVIEWER)
DECIDES = (MANAGER,)


def decides(user: Any) -> bool:
    """Whether this person undoes, refunds and reduces."""
    return bool(roles_of(user) & set(DECIDES))
