"""What tests of the catalogue's pages share."""

from __future__ import annotations

import pytest

from configurator.catalogue.snapshot import Catalogue
from shop.range.list_reckoning import guess
from shop.range.models import PriceLayout

HEADING = ["Artikelnummer", "Bezeichnung", "Listenpreis", "Rabattgruppe", "PE", "Einheit"]


@pytest.fixture
def layout(demo_catalogue: Catalogue) -> PriceLayout:
    return PriceLayout.objects.create(
        supplier="nordholt",
        columns=guess(HEADING),
        groups={"a": "20", "b": "0"},
        markups=[["*", "0", "60"]],
        step="0.10",
        adds_new=True,
        retires_gone=True,
    )
