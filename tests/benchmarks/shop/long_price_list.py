"""Read and put live a list of so many rows in a process of its own; print what it took as JSON.

Run by ``test_long_price_list.py`` with a data folder of its own: ``python -m … ROWS``.
"""

from __future__ import annotations

import io
import json
import os
import resource
import sys
import time
from pathlib import Path
from typing import Any

import django
import openpyxl


def workbook(rows: int, dearer: float) -> bytes:
    """Return a list of so many goods as a workbook."""
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("prices")
    sheet.append(["Article", "Description", "List price", "Group", "Unit"])
    for n in range(rows):
        sheet.append(
            [
                f"A{n:06d}",
                f"Small part number {n} of the long list",
                10 + n % 977 + dearer,
                "ABC"[n % 3],
                "pcs",
            ]
        )
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def peak_mb() -> int:
    """Return the most memory that the process has held, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def main(rows: int, folder: Path) -> dict[str, Any]:
    """Hand in, read and put live the same list twice, then a dearer one."""
    from django.conf import settings
    from django.core.management import call_command

    from configurator.catalogue import models
    from shop.range import list_applying, list_reading
    from shop.range.models import PriceLayout, PriceLine, PriceList

    settings.KERBLINE_WORK_IN_THREADS = False  # kept within this process, one after the other
    call_command("migrate", verbosity=0)
    call_command("load_catalogue", verbosity=0, stdout=io.StringIO(), stderr=io.StringIO())
    columns = {
        "ref": "Article",
        "name": "Description",
        "cost": "List price",
        "group": "Group",
        "unit": "Unit",
    }
    layout = {"columns": columns, "groups": {"a": "20", "b": "10", "c": "0"}, "markups": [["*", "0", "60"]]}
    PriceLayout.objects.create(supplier="nordholt", adds_new=True, **layout)
    told: dict[str, Any] = {"before_mb": peak_mb()}
    for name in ("new", "again", "dearer"):
        data = (folder / f"{'dearer' if name == 'dearer' else 'new'}.xlsx").read_bytes()
        found = PriceList.objects.create(supplier="nordholt", name=name, data=data)
        begun = time.time()
        list_reading.ask_to_read(found.pk)
        read = time.time()
        list_applying.confirm(list_id=found.pk, by=None)
        verdicts = PriceLine.objects.filter(list=found).values_list("verdict", flat=True)
        counts = {one: verdicts.filter(verdict=one).count() for one in ("new", "changed", "same", "bad")}
        found = PriceList.objects.defer("data").get(pk=found.pk)
        told[name] = {
            **counts,
            "state": found.state,
            "version": found.release.version.number if found.release else None,
            "read_s": round(read - begun, 1),
            "live_s": round(time.time() - read, 1),
            "peak_mb": peak_mb(),
        }
    told["items"] = models.Item.objects.filter(supplier__code="nordholt").count()
    return told


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.site.settings")
    where = Path(os.environ["KERBLINE_DATA"])
    if sys.argv[2:] == ["make"]:
        where.mkdir(parents=True, exist_ok=True)
        (where / "new.xlsx").write_bytes(workbook(int(sys.argv[1]), 0))
        (where / "dearer.xlsx").write_bytes(workbook(int(sys.argv[1]), 0.5))
    else:
        django.setup()
        print(json.dumps(main(int(sys.argv[1]), where)))
