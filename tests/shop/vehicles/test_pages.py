"""A vehicle entered, measured, doubted and drawn on its pages; each step live as one version."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from lxml import html
from PIL import Image

from configurator.builds.evaluate import evaluate
from configurator.builds.selection import AxleSelection, Selection
from configurator.catalogue import snapshot
from configurator.catalogue.models import Axle, CatalogueVersion, Generation
from configurator.catalogue.models_changes import Release, RowChange
from configurator.catalogue.snapshot import Catalogue
from configurator.pictures import Body
from shop.models import AxleReading, Measurement
from shop.vehicles import from_jobs
from tests.shop import factories

pytestmark = pytest.mark.django_db
NEW = {
    "maker": "Tarnwick", "name": "Sedge II", "body_style": "car", "rear_doors": "tailgate", "category": "M1",
    "drive": "front", "year_from": "2021", "year_to": "", "max_speed_kmh": "190",
    "speedometer_reads_high_pct": "4", "axle_ratio_limit_pct": "3", "takes_spacers": "on",
    "facts": ["tailgate", "standard-bumper"], "body_finishes": [],
    **{
        f"{position}_{name}": value
        for position in ("front", "rear")
        for name, value in {
            "wheels": "2", "mounting": "bolted", "fastener": "bolt", "original_wheel_width_in": "6,5",
            "original_wheel_diameter_in": "16", "original_wheel_offset_mm": "46",
            "original_tyre": "205/55R16 91V", "axle_load_kg": "1000", "torque_nm": "120",
            "property_class": "10.9",
        }.items()
    },
}  # fmt: skip
READ = {
    "r-bolt_count": "5", "r-bolt_circle_mm": "108", "r-spigot_diameter_mm": "63,4",
    "r-spigot_height_mm": "10",
    "r-thread": "M12x1.5", "r-seat": "cone60", "r-original_shank_mm": "26",
    "r-original_seat_thickness_mm": "13", "r-hub_thread_mm": "18", "r-free_depth_behind_hub_mm": "9",
    "r-strut_face_mm": "192 188 195", "t-strut_face_mm": "2", "h-strut_face_mm": "rule",
    "r-arch_lip_mm": "112 115", "t-arch_lip_mm": "2,5", "r-brake_envelope_mm": "150:-40 120:15",
    "t-brake_envelope_mm": "1", "r-arch_diameter_mm": "690", "r-original_track_mm": "1560",
}  # fmt: skip


@pytest.fixture
def manager(client: Client) -> Client:
    client.force_login(factories.staff("manager", name="chefin"))
    client.defaults["HTTP_ACCEPT_LANGUAGE"] = "de"
    return client


def measure(client: Client, code: str, position: str, data: dict[str, Any]) -> Any:
    return client.post(reverse("shop:vehicle_measure", args=[code, position]), data)


@pytest.mark.long
def test_a_vehicle_from_nothing_to_a_build_that_can_be_sent(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    before = Release.objects.count()
    answer = manager.post(reverse("shop:vehicle_add"), NEW)
    assert answer.status_code == 302, answer.context["form"].errors
    assert answer["Location"] == reverse("shop:vehicle", args=["tarnwick-sedge-ii"])
    for position in ("front", "rear"):
        read = READ | ({"r-lock_free_mm": "60 58", "t-lock_free_mm": "2"} if position == "front" else {})
        assert measure(manager, "tarnwick-sedge-ii", position, read).status_code == 302
    axle = Axle.objects.get(generation__code="tarnwick-sedge-ii", position="front")
    assert (axle.strut_face_mm, axle.arch_lip_mm, axle.spigot_diameter_mm) == (-188.0, 112.0, 63.4)
    assert axle.brake_envelope_mm == [[150.0, -40.0], [120.0, 15.0]]
    assert axle.tolerance_mm == 2.5, "the worst of its spaces"
    assert Release.objects.count() == before + 3, "one version for each step"
    wheels = AxleSelection(wheel="vadum-7x17-5x108-et45-silver", tyre="road-225-45r17-94w")
    build = Selection(generation="tarnwick-sedge-ii", front=wheels, rear=wheels, options=("standard-bumper",))
    evaluation = evaluate(build, snapshot.current())
    doubts = [
        (row.id, row.axle, row.verdict)
        for fit in evaluation.fits.values()
        for row in fit.checks
        if row.verdict not in ("fits", "note")
    ]
    assert doubts == [], doubts
    assert evaluation.sendable


@pytest.mark.long
def test_the_same_again_is_no_new_version_but_is_remembered(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    measure(manager, "vireo-4", "front", {"r-arch_lip_mm": "101"})
    version = CatalogueVersion.objects.first()
    measure(manager, "vireo-4", "front", {"r-arch_lip_mm": "101"})
    assert CatalogueVersion.objects.first() == version
    assert AxleReading.objects.count() == 2


@pytest.mark.long
@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"r-arch_lip_mm": "lots"}, "r-arch_lip_mm"),
        ({"r-thread": "M12 fine"}, "r-thread"),
        ({"r-bolt_count": "2"}, "r-bolt_count"),
        ({"r-arch_lip_mm": "101", "t-arch_lip_mm": "-1"}, "t-arch_lip_mm"),
        ({}, "__all__"),
        ({"r-arch_lip_mm": "101", "photo": SimpleUploadedFile("x.jpg", b"no photo", "image/jpeg")}, "photo"),
    ],
)
def test_what_is_wrong_stands_beside_its_figure_and_nothing_is_kept(
    demo_catalogue: Catalogue, manager: Client, data: dict[str, Any], field: str
) -> None:
    answer = measure(manager, "vireo-4", "front", data)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not AxleReading.objects.exists()


@pytest.mark.long
def test_a_draft_that_waits_is_left_alone(demo_catalogue: Catalogue, manager: Client) -> None:
    from configurator.catalogue import drafts

    user = factories.staff("manager", name="other")
    row = dict(drafts.live("items", "primer-plastic") or {})
    drafts.keep(kind="items", key="primer-plastic", data={**row, "unit_price": "80"}, by=user)
    assert measure(manager, "vireo-4", "front", {"r-arch_lip_mm": "101"}).status_code == 302
    draft = drafts.shared()
    assert draft is not None
    assert draft.rows.count() == 1


@pytest.mark.long
def test_a_value_in_doubt_asks_to_be_measured_again_until_it_is(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    measure(manager, "vireo-4", "front", {"r-arch_lip_mm": "101", "note": "XB TL 9"})
    reading = AxleReading.objects.get()
    doubt = reverse("shop:reading_doubt", args=[reading.pk])
    for why in ("", "x" * 201):
        refused = html.fromstring(manager.post(doubt, {"why": why}).text)
        field = refused.get_element_by_id(f"why-{reading.pk}")
        assert (field.value or "", field.get("aria-invalid")) == (why, "true")
        assert refused.get_element_by_id(f"why-{reading.pk}-error").text_content()
    reading.refresh_from_db()
    assert reading.disputed_at is None
    manager.post(doubt, {"why": "Der Wagen hatte andere Federn."})
    page = manager.get(reverse("shop:vehicle", args=["vireo-4"])).content.decode()
    assert "neu messen" in page
    assert "andere Federn" in page
    assert "1 Wert zweifelhaft" in manager.get(reverse("shop:vehicles")).content.decode()
    assert Axle.objects.get(generation__code="vireo-4", position="front").arch_lip_mm == 101
    measure(manager, "vireo-4", "front", {"r-arch_lip_mm": "103"})
    assert "zweifelhaft" not in manager.get(reverse("shop:vehicles")).content.decode()
    late = manager.post(doubt, {"why": "late"})
    reading.refresh_from_db()
    newer, page = AxleReading.objects.latest("pk"), html.fromstring(late.text)
    assert (late.status_code, page.get_element_by_id(f"why-{newer.pk}").value) == (422, "late")
    assert "inzwischen neu gemessen" in page.get_element_by_id(f"why-{newer.pk}-error").text_content()
    assert reading.disputed_why == "Der Wagen hatte andere Federn."


@pytest.mark.long
def test_the_photo_is_made_safe_and_shown_to_staff_alone(demo_catalogue: Catalogue, manager: Client) -> None:
    out = BytesIO()
    Image.new("RGB", (300, 200), "grey").save(out, "PNG")
    file = SimpleUploadedFile("p.png", out.getvalue(), "image/png")
    measure(manager, "vireo-4", "front", {"r-arch_lip_mm": "101", "r-strut_face_mm": "170", "photo": file})
    assert AxleReading.objects.values("photo").distinct().count() == 1
    address = reverse("shop:reading_photo", args=[AxleReading.objects.latest("pk").pk])
    assert b"".join(manager.get(address).streaming_content).startswith(b"\xff\xd8")  # type: ignore[attr-defined]
    assert Client().get(address).status_code == 302


@pytest.mark.long
def test_the_card_prints_on_its_own_in_both_languages(demo_catalogue: Catalogue, manager: Client) -> None:
    for code, position, language, word in (
        ("haldor-2", "front", "de", "Radhauskante"),
        ("haldor-2", "rear", "en", "arch lip"),
        ("whinchat-680", "front", "de", "Radausschnitt"),
        ("skarn-3", "rear", "de", "Stehbolzen"),
    ):
        answer = manager.get(
            reverse("shop:measuring_card", args=[code, position]), HTTP_ACCEPT_LANGUAGE=language
        )
        pdf = pypdf.PdfReader(BytesIO(answer.content))
        text = "".join(page.extract_text() for page in pdf.pages)
        assert word in text, (code, position)
        assert len(pdf.pages) <= 2
    assert manager.get(reverse("shop:measuring_card", args=["haldor-2", "top"])).status_code == 404


@pytest.mark.long
def test_what_a_job_measured_is_offered_and_taken_over_at_a_word(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    row = factories.fit_row(
        id="outboard_position", verdict="measure", value=1.0, limit=0.0, margin=1.0, tolerance=2.0
    )
    job = factories.job(factories.evaluation(row))
    job.revision.selection["generation"] = "haldor-2"
    job.revision.save()
    evaluation = job.revision.evaluation
    evaluation["catalogue_version"] = demo_catalogue.version
    job.revision.evaluation = evaluation
    job.revision.save()
    user = factories.staff("technician", name="timo")
    Measurement.objects.create(
        job=job, revision=job.revision, axle="front", check_id="outboard_position", value=4.0,
        uncertainty=0.5,
        unit="mm", margin=4.0, verdict="fits", by=user,
    )  # fmt: skip
    offer = from_jobs.offers("haldor-2")[0]
    assert (offer.field, offer.now, offer.then) == ("arch_lip_mm", 108.0, 111.0)
    page = manager.get(reverse("shop:vehicle", args=["haldor-2"])).content.decode()
    assert job.number in page
    address = reverse("shop:vehicle_from_job", args=["haldor-2", offer.measurement.pk])
    for _time in (1, 2):
        assert manager.post(address).status_code == 302
    assert Axle.objects.get(generation__code="haldor-2", position="front").arch_lip_mm == 111
    assert AxleReading.objects.get().job == job
    assert from_jobs.offers("haldor-2") == []
    assert RowChange.objects.get().before == {"arch_lip_mm": 108.0}


@pytest.mark.long
def test_a_drawing_is_begun_from_the_nearest_pulled_and_kept(
    demo_catalogue: Catalogue, manager: Client
) -> None:
    manager.post(reverse("shop:vehicle_add"), NEW)
    address = reverse("shop:vehicle_draw", args=["tarnwick-sedge-ii"])
    page = manager.get(address)
    form = page.context["form"]
    assert form.start in ("vireo-4", "merle-2")
    begun = {name: str(field.initial) for name, field in form.fields.items()}
    longer = {**begun, "length_mm": "4390", "wheelbase_mm": "2640", "height_mm": "1480"}
    seen = manager.post(reverse("shop:vehicle_drawn", args=["tarnwick-sedge-ii"]), longer)
    assert "<svg" in seen.content.decode()
    assert not Generation.objects.get(code="tarnwick-sedge-ii").body, "looking keeps nothing"
    assert manager.post(address, longer).status_code == 302
    body = Body.from_dict(Generation.objects.get(code="tarnwick-sedge-ii").body)
    assert (body.length_mm, body.wheelbase_mm, body.height_mm) == (4390, 2640, 1480)
    assert body.axles.front.original.effective_offset_mm == 46
    again = manager.get(address).context["form"]
    assert again.start == "tarnwick-sedge-ii"
    assert again.fields["wheelbase_mm"].initial == 2640


@pytest.mark.long
def test_what_cannot_be_drawn_is_said_beside_the_measure(demo_catalogue: Catalogue, manager: Client) -> None:
    address = reverse("shop:vehicle_draw", args=["vireo-4"])
    form = manager.get(address).context["form"]
    begun = {name: str(field.initial) for name, field in form.fields.items()}
    answer = manager.post(address, {**begun, "wheelbase_mm": "900"})
    assert answer.status_code == 422
    assert "wheelbase_mm" in answer.context["form"].errors
    seen = manager.post(reverse("shop:vehicle_drawn", args=["vireo-4"]), {**begun, "height_mm": "x"})
    assert seen.status_code == 200
    assert "<svg" not in seen.content.decode()
