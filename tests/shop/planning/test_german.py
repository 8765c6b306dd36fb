"""The plan and where it is set up speak the reader's language: places, days, hours, steps."""

from __future__ import annotations

from datetime import time

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone, translation

from configurator.builds.evaluate import evaluate
from configurator.catalogue.snapshot import Catalogue
from shop.jobs.opening import open_job
from shop.models import Bay, Job, OpeningHours, Person
from shop.planning.service import replan
from shop.planning.usual import make_usual_places
from tests.builds.builds import harbour_van
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def german(client: Client) -> Client:
    client.force_login(factories.staff("manager", "reviewer", name="chefin"))
    client.cookies["django_language"] = "de"
    return client


def test_places_and_hours_are_german(german: Client, settings) -> None:
    german.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    german.post(reverse("shop:setting", args=["places"]))
    assert set(Bay.objects.values_list("name", flat=True)) == {"Stellplatz 1", "Hebebühne 1", "Werkbank 1"}
    page = german.get(reverse("shop:plan_setup")).content.decode()
    assert "Montag 08:00 bis 12:00" in page
    for english in ("Monday", "bay", "Kind", "In use", "Weekday", "Opens", "Closes", ">Day"):
        assert f">{english}" not in page.replace("\n", ""), english
    answer = german.post(reverse("shop:plan_setup"), {
        "kind_of_row": "hours", "hours-weekday": "0", "hours-opens": "22:00", "hours-closes": "02:00",
        "hours-people": "1",
    })  # fmt: skip
    assert "Eine Nacht wird geteilt" in answer.content.decode()
    same = {"kind_of_row": "bay", "bay-name": "Hebebühne 1", "bay-kind": "lift"}
    assert (
        "Einen Platz dieses Namens gibt es schon."
        in german.post(reverse("shop:plan_setup"), same).content.decode()
    )


def test_what_is_there_keeps_its_name_whoever_reads() -> None:
    make_usual_places()
    with translation.override("de"):
        make_usual_places()
        assert str(OpeningHours.objects.first()) == "Montag 08:00 bis 12:00"
    assert set(Bay.objects.values_list("name", flat=True)) == {"Bay 1", "Lift 1", "Bench 1"}
    assert str(OpeningHours.objects.first()) == "Monday 08:00 to 12:00"


@pytest.mark.long
def test_steps_in_the_plan_and_on_peoples_lists_are_german(
    german: Client, demo_catalogue: Catalogue, settings
) -> None:
    german.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    found = evaluate(harbour_van(), demo_catalogue)
    job = open_job(revision=factories.revision(found, evaluation=found.kept()))
    Job.objects.filter(pk=job.pk).update(state="parts_in")
    Person.objects.create(name="Lena")
    for day in range(7):
        OpeningHours.objects.create(weekday=day, opens=time(0), closes=time(23, 45), people=2)
    for kind in ("bay", "lift", "booth", "bench"):
        Bay.objects.create(name=f"{kind} eins", kind=kind)
    replan()
    first = job.operations.filter(planned_start__isnull=False).order_by("planned_start")[0]
    day = timezone.localdate(first.planned_start)
    plan = german.get(reverse("shop:plan"), {"from": f"{day:%Y-%m-%d}"}).content.decode()
    assert "Fahrzeug annehmen" in plan
    assert "Book the vehicle in" not in plan


def test_a_kind_of_place_that_work_needs_and_nobody_has_is_told(
    german: Client, demo_catalogue: Catalogue, settings
) -> None:
    german.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    make_usual_places()
    told = "und keiner ist in Betrieb: Kabine."
    assert told in german.get(reverse("shop:settings")).content.decode()
    Bay.objects.create(name="Lackierer nebenan", kind="booth")
    assert told not in german.get(reverse("shop:settings")).content.decode()
