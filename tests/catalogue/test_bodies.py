"""The drawings travel inside the catalogue's folder, and what is missing or bad is said."""

from __future__ import annotations

import json
import shutil

import pytest
from django.core.management import call_command

from configurator.catalogue import loader, models
from configurator.catalogue.loader import CatalogueError
from configurator.pictures import Body

pytestmark = pytest.mark.django_db


def refused(folder):
    with pytest.raises(CatalogueError) as caught:
        loader.load(folder)
    return {(one.file, one.field): one.message for one in caught.value.findings}


@pytest.mark.long
def test_a_copied_folder_brings_its_drawings(folder):
    loaded = loader.load(folder)
    assert loaded.notes == ()
    for generation in models.Generation.objects.all():
        assert Body.from_dict(generation.body).code == generation.code


@pytest.mark.long
def test_a_missing_drawing_is_named_and_refuses_nothing(folder):
    shutil.rmtree(folder / "bodies")
    loaded = loader.load(folder)
    assert {note.file for note in loaded.notes} == {
        f"bodies/{code}.json" for code in models.Generation.objects.values_list("code", flat=True)
    }
    assert all("no picture" in note.message for note in loaded.notes)


@pytest.mark.long
def test_a_drawing_loaded_before_stays_and_that_is_said(demo, folder):
    (folder / "bodies" / "ambry-1.json").unlink()
    (note,) = loader.load(folder).notes
    assert (note.file, "stays" in note.message) == ("bodies/ambry-1.json", True)
    assert models.Generation.objects.get(code="ambry-1").body


@pytest.mark.long
def test_a_drawing_that_no_generation_has_is_named(folder):
    (folder / "bodies" / "ambry-1.json").rename(folder / "bodies" / "ambry-11.json")
    notes = {note.file: note.field for note in loader.load(folder).notes}
    assert notes == {"bodies/ambry-1.json": "", "bodies/ambry-11.json": "code"}


def test_a_bad_drawing_is_refused_with_every_place(folder):
    path = folder / "bodies" / "vireo-4.json"
    body = json.loads(path.read_text())
    body["views"]["side"][1]["fill"] = "mauve"
    body["axles"]["front"]["x_mm"] = "near the front"
    path.write_text(json.dumps(body))
    found = refused(folder)
    assert set(found) == {
        ("bodies/vireo-4.json", "views.side.1.fill"),
        ("bodies/vireo-4.json", "axles.front.x_mm"),
    }
    assert found["bodies/vireo-4.json", "views.side.1.fill"].startswith("'mauve' is not a tone")


def test_the_drawing_of_another_generation_is_refused(folder):
    shutil.copy(folder / "bodies" / "merle-2.json", folder / "bodies" / "vireo-4.json")
    assert set(refused(folder)) == {("bodies/vireo-4.json", "code")}


@pytest.mark.parametrize("text", ["{", "[]", "", '"x"', '{"a":' * 5000])
def test_what_is_no_drawing_at_all_is_refused(folder, text):
    (folder / "bodies" / "vireo-4.json").write_text(text)
    assert set(refused(folder)) == {("bodies/vireo-4.json", "")}


@pytest.mark.long
def test_the_command_says_what_is_missing(folder, capsys):
    (folder / "bodies" / "vireo-4.json").unlink()
    call_command("load_catalogue", str(folder))
    assert "bodies/vireo-4.json: The drawing is missing" in capsys.readouterr().err
