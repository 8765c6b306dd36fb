"""A supplier's workbook that would take the process along: it is refused, and whoever read it goes on."""

from __future__ import annotations

import io
import zipfile

import openpyxl
import pytest

from shop.range.list_cells import ListError, heading_and_rows


def workbook(**cells: object) -> bytes:
    book = openpyxl.Workbook()
    book.active.append(["Article", "Price"])
    for place, value in cells.items():
        book.active[place] = value
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def changed(data: bytes, old: bytes, new: bytes) -> bytes:
    """The workbook with its sheet's XML changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as was, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as now:
        for one in was.infolist():
            text = was.read(one)
            now.writestr(one.filename, text.replace(old, new) if "sheet1" in one.filename else text)
    return out.getvalue()


def test_a_cell_in_the_last_corner_asks_for_more_room_than_there_is() -> None:
    """17,179,869,184 cells in five kilobytes: the library would have room made for every one of them."""
    data = workbook(XFD1048576=1)
    assert len(data) < 6_000
    with pytest.raises(ListError, match="unpacks"):
        list(heading_and_rows(data)[1])


def test_a_number_that_is_none_is_an_empty_cell() -> None:
    data = changed(workbook(A2="R-1", B2=4711), b"<v>4711</v>", b"<v>1e999</v>")
    assert list(heading_and_rows(data)[1]) == [(2, ["R-1", ""])]


def test_a_workbook_that_is_none_is_said_as_before() -> None:
    with pytest.raises(ListError, match="workbook"):
        list(heading_and_rows(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 no")[1])
