"""Who reads inches gets the fit in inches on staff's pages; what is measured is typed and kept in mm."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.mark.long
def test_the_review_tells_lengths_in_the_units_of_the_account() -> None:
    factories.make_workshop()
    job = factories.job()
    client = Client()
    client.force_login(factories.staff("reviewer"))
    page = reverse("shop:review", args=[job.number])
    told = client.get(page).content.decode()
    # 5.0 mm where 3.0 are needed: 0.20 in, 0.12 in and 0.08 in to spare (25.4 mm to the inch, from memory).
    assert "+2 mm" in told
    assert "\u00a0in<" not in told
    client.cookies["units"] = "in"
    told = client.get(page).content.decode()
    for inches in ("0.20\u00a0in", "0.12\u00a0in", "+0.08\u00a0in"):
        assert inches in told
    assert "+2 mm" not in told
