"""A field is declared once: what files and forms let in, the tables hold and the fitment engine takes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from pydantic_core import PydanticUndefined

from configurator import fitment
from configurator.catalogue import fitting, models, rows
from configurator.catalogue.files import OWN

from .test_loader import messages, replace

SCHEMAS = [kind.schema for kind in OWN] + [rows.OperationRow, rows.MaterialRow]
AXLE = {
    "generation": "g",
    "position": "front",
    "original_wheel_width_in": "6.5",
    "original_wheel_diameter_in": "16",
    "original_wheel_offset_mm": "51",
    "original_tyre": "205/65R16C 107/105T",
}
WHEEL = fitment.Wheel(width_in=8.0, diameter_in=18, offset_mm=45, bolt_count=5, bolt_circle_mm=112.0)
TYRE = fitment.parse_tyre("235/50R18 101H XL")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("axles.csv", ",M14x1.5,", ",M13,", "thread: A thread is written M14x1.5"),
        ("axles.csv", ",10.9,cone60", ",8,cone60", "property_class: A property class is one of"),
        ("axles.csv", "haldor-2,front,2,", "haldor-2,front,3,", "wheels: ‘3’ must be at most 2"),
        ("generations.csv", ",M1,", ",M9,", "category: ‘M9’ is not one of"),
        ("makers.csv", "oustrel,Oustrel", f"oustrel,{'O' * 81}", "name: The text is longer than 80"),
        ("suppliers.csv", "@", "@@", "email:"),
        ("finishes.csv", ",accent,#", ",accent,", "hex: Use a colour such as #a1b2c3."),
    ],
)
def test_what_engine_or_table_would_refuse_is_refused_beside_its_field(folder, file, old, new, said):
    replace(folder / file, old, new)
    assert said in messages(folder)


@pytest.mark.parametrize("schema", SCHEMAS, ids=lambda schema: schema.__name__)
def test_a_row_and_its_table_agree_on_what_may_be_empty(schema):
    columns = {field.name: field for table in schema.tables for field in table._meta.fields}
    shared = [name for name in schema.model_fields if name in columns]
    assert shared
    for name in shared:
        field, column = schema.model_fields[name], columns[name]
        if not field.is_required() and field.default is None:
            assert column.null, f"{name} may be left out of the file but not of the table"
        if column.has_default() and field.default is not PydanticUndefined:
            assert field.default == column.get_default(), name


@given(
    st.sampled_from(["bolt", "nut"]),
    st.sampled_from(["", "M14x1.5", "M13", "M12", "M8x9", "M99", "M0x1"]),
    st.sampled_from(["", "8.8", "10.9", "12.9", "8", "10", "12"]),
    st.sampled_from(["", "cone60", "ball13", "flat", "cone99", "ball99"]),
    st.sampled_from(["spigot_diameter_mm", "hub_thread_mm", "axle_load_kg", "arch_lip_mm", "torque_nm"]),
    st.floats(-1e5, 1e5),
)
def test_fitment_takes_every_axle_that_a_row_lets_in(fastener, thread, property_class, seat, name, number):
    cells = {"fastener": fastener, "thread": thread, "property_class": property_class, "seat": seat}
    try:
        row = rows.AxleRow.model_validate({**AXLE, **cells, name: str(number)})
    except ValidationError:
        return
    generation = models.Generation(code="g", max_speed_kmh=180)
    data = row.model_dump(exclude={"generation"})
    report = fitment.check_fit(fitting.axle_data(models.Axle(generation=generation, **data)), WHEEL, TYRE)
    assert report.verdict in ("fits", "measure", "unknown", "no")


def test_every_number_that_fitment_knows_by_a_table_s_name_reaches_it():
    """A column added to a table and to a part under one name crosses the bridge by itself."""
    axle = models.Axle(generation=models.Generation(max_speed_kmh=200), position="rear", original_tyre="")
    axle.original_tyre = AXLE["original_tyre"]
    axle.original_wheel_width_in = axle.original_wheel_diameter_in = axle.original_wheel_offset_mm = 1.0
    axle.hub_thread_mm, axle.tolerance_mm, axle.seat = 21.5, 3.5, "ball13"
    data = fitting.axle_data(axle)
    assert (data.hub_thread_mm, data.tolerance_mm, data.seat, data.max_speed_kmh) == (
        21.5,
        3.5,
        "ball13",
        200,
    )
    nut = models.Fastener(kind="nut", thread="M14x1.5", seat="flat", property_class="10")
    assert fitting.fastener_data(nut).property_class == "10.9"
