"""An office with something on every page: a draft, a version, price lists in every state, what is stuck."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import timezone

from configurator.catalogue import drafts, going_live, history
from configurator.models import OutboxEntry
from shop.messages.models_news import NewsSetting
from shop.models import PriceLayout, PriceList, VehicleRequest
from shop.opening.steps import STEPS
from shop.range import list_applying, list_reading
from shop.range.list_reckoning import guess
from shop.wanted import service as wanted
from shop.wanted.service import Asked

WHEEL = "torvik-6.5x16-5x112-et50-silver"
HEADING = ["Artikelnummer", "Bezeichnung", "Listenpreis", "Rabattgruppe", "PE", "Einheit"]
ROWS = {
    "HA20565R16C": ("Skelwith Haul", "105,00", "A", "1", "ST"),
    "HA22555R17C": ("Skelwith Haul 17", "n/a", "A", "1", "ST"),
    "NEW1": ("Skelwith New", "5.000,00", "B", "100", "Stk"),
    "NEW2": ("Skelwith Odd", "10,00", "B", "1", "Paar"),
}
KINDS = (
    "wheels", "tyres", "spacers", "fasteners", "finishes", "options", "recipes", "rules", "suppliers",
    "axles", "generations", "families", "paint_layers",
)  # fmt: skip


def price_file() -> bytes:
    """Return a supplier's list: one row changed, one new, two that cannot be used."""
    lines = [";".join(HEADING), *(";".join((ref, *row)) for ref, row in ROWS.items())]
    return "\r\n".join(lines).encode("cp1252")


def price_lists(by: Any) -> dict[str, PriceList]:
    """Hand lists in, and leave one in each state that a page shows."""
    PriceLayout.objects.create(
        supplier="nordholt", columns=guess(HEADING), groups={"a": "20", "b": "0"}, markups=[["*", "0", "60"]],
        step="0.10", adds_new=True, retires_gone=True,
    )  # fmt: skip
    made = {}
    for name, data in (("live", price_file()), ("ready", price_file()), ("broken", b"\x00\x01")):
        row = PriceList.objects.create(supplier="nordholt", name=f"{name}.csv", data=data)
        list_reading.ask_to_read(row.pk)
        list_reading.read_list({"list": row.pk})
        made[name] = row
    list_applying.confirm(list_id=made["live"].pk, by=by)
    list_applying.put_list_live({"list": made["live"].pk})
    made["reading"] = PriceList.objects.create(
        supplier="nordholt", name="reading.csv", data=b"x", state=PriceList.State.READING
    )
    made["unmatched"] = PriceList.objects.create(supplier="tarnick", name="unmatched.csv", data=price_file())
    return made


def furnish(by: Any) -> dict[str, list[str]]:
    """Put something on every page of the office and return the pages' addresses by part of it."""
    wheel = drafts.look(None, "wheels", WHEEL).now
    assert wheel is not None
    drafts.keep(kind="wheels", key=WHEEL, data={**wheel, "unit_price": "205"}, by=by)
    draft = drafts.shared()
    assert draft is not None
    going_live.put_live(draft_id=draft.pk, by=by, title="Etwas teurer")
    lists = price_lists(by)
    drafts.keep(kind="wheels", key=WHEEL, data={**wheel, "unit_price": "210"}, by=by)
    OutboxEntry.objects.create(kind="paper", key="stuck", state="failed", next_attempt_at=timezone.now())
    NewsSetting.objects.create()
    asked = wanted.send(
        press="office", asked=Asked("Quillon", "Marrow", "2017", "Schwarze Felgen.", "Ida", "", "+49 221 47"),
        language="en-gb", consent_text="yes", must_prove=False,
    )  # fmt: skip
    catalogue = _range(lists)
    return {
        "catalogue": [one for one in catalogue if "/rows/" not in one],
        "rows": [one for one in catalogue if "/rows/" in one],
        "people": _people(by),
        "vehicles": [*_vehicles(), *_requests(asked)],
    }


def _range(lists: dict[str, PriceList]) -> list[str]:
    release = history.releases().first()
    assert release is not None
    plain = (
        "range",
        "range_prices",
        "range_files",
        "range_draft",
        "range_try",
        "range_versions",
        "range_lists",
    )
    return [
        *(reverse(f"shop:{name}") for name in plain),
        *(reverse("shop:range_rows", args=[kind]) for kind in KINDS),
        *(reverse("shop:range_add", args=[kind]) for kind in KINDS),
        *(reverse("shop:range_list", args=[row.pk]) for row in lists.values()),
        *(reverse("shop:range_columns", args=[lists[name].pk]) for name in ("ready", "unmatched")),
        reverse("shop:range_texts", args=["de"]),
        reverse("shop:range_row", args=["wheels", WHEEL]),
        reverse("shop:range_history", args=["wheels", WHEEL]),
        reverse("shop:range_version", args=[release.pk]),
    ]


def _vehicles() -> list[str]:
    return [
        reverse("shop:vehicles"),
        reverse("shop:vehicle_add"),
        *(
            reverse(f"shop:{name}", args=["haldor-2"])
            for name in ("vehicle", "vehicle_change", "vehicle_draw")
        ),
        reverse("shop:vehicle_measure", args=["haldor-2", "front"]),
    ]


def _people(by: Any) -> list[str]:
    return [
        reverse("shop:settings"),
        *(reverse("shop:setting", args=[step.id]) for step in STEPS),
        *(reverse(f"shop:{name}") for name in ("people_accounts", "sign_ins", "privacy", "stuck", "told")),
        reverse("shop:person_account", args=[by.pk]),
        reverse("shop:sign_ins_of", args=[by.pk]),
        reverse("account"),
    ]


def _requests(asked: VehicleRequest) -> list[str]:
    return [
        reverse("shop:wanted"),
        reverse("shop:wanted_new"),
        reverse("shop:wanted_one", args=[asked.pk]),
        reverse("wanted:ask"),
        reverse("wanted:page", args=[asked.token]),
    ]
