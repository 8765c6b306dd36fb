"""Drafts: kept, tried, put live as one version, taken back; two people at once; nothing lost to a file."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from configurator.catalogue import drafts, going_live, history, loader, models, snapshot
from configurator.catalogue.models_changes import Draft, Release
from configurator.catalogue.snapshot import Catalogue

WHEEL = "torvik-6.5x16-5x112-et50-silver"


@pytest.fixture
def anke(db: None) -> User:
    return User.objects.create_user("anke")


def keep(by: User, key: str = WHEEL, kind: str = "wheels", **changes: object) -> None:
    row = drafts.look(drafts.shared(), kind, key).now
    assert row is not None
    drafts.keep(kind=kind, key=key, data={**row, **changes}, by=by)


def live(by: User) -> Release:
    draft = drafts.shared()
    assert draft is not None
    release = going_live.put_live(draft_id=draft.pk, by=by)
    assert release is not None
    return release


@pytest.mark.long
def test_a_draft_is_tried_in_memory_and_changes_nothing(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210")
    draft = drafts.shared()
    assert draft is not None
    tried = going_live.catalogue_of(draft)
    assert str(tried.wheels[WHEEL].item.unit_price) == "210.0000"
    assert snapshot.current().version == demo.version
    assert str(models.Item.objects.get(code=WHEEL).unit_price) == "203.0000"


@pytest.mark.long
def test_put_live_is_one_version_with_who_and_what(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210")
    keep(anke, offset_mm=49.0)
    release = live(anke)
    assert release.version.number == demo.version + 1
    assert release.by == anke
    (change,) = release.changes.all()
    assert change.before == {"unit_price": "203", "offset_mm": 50.0}
    assert change.after == {"unit_price": "210", "offset_mm": 49.0}
    assert snapshot.current().wheels[WHEEL].offset_mm == 49.0
    assert drafts.shared() is None


def test_a_row_kept_as_it_is_live_leaves_the_draft(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210")
    keep(anke, unit_price="203")
    draft = drafts.shared()
    assert draft is not None
    assert draft.rows.count() == 0


def test_the_second_of_two_is_told_and_overwrites_nothing(demo: Catalogue, anke: User) -> None:
    seen = drafts.look(None, "wheels", WHEEL)
    assert seen.now is not None
    keep(anke, unit_price="210")
    with pytest.raises(drafts.EditedMeanwhileError) as told:
        drafts.keep(kind="wheels", key=WHEEL, data={**seen.now, "unit_price": "220"}, by=None, seen=seen.mark)
    assert told.value.who == "anke"
    assert told.value.now is not None
    assert told.value.now["unit_price"] == "210"
    draft = drafts.shared()
    assert draft is not None
    assert drafts.look(draft, "wheels", WHEEL).now == told.value.now


@pytest.mark.long
def test_a_mistake_keeps_the_draft_from_going_live_and_names_the_row(demo: Catalogue, anke: User) -> None:
    keep(anke, design="no-such-design")
    with pytest.raises(going_live.NotLiveError) as refused:
        live(anke)
    (flaw,) = refused.value.flaws
    assert (flaw.kind, flaw.key, flaw.field) == ("wheels", WHEEL, "design")
    assert snapshot.current().version == demo.version


@pytest.mark.long
def test_rules_that_contradict_each_other_do_not_go_live(demo: Catalogue, anke: User) -> None:
    facts = demo.generations["haldor-2"].facts
    row = {"code": "never", "kind": "excludes", "if_all": facts[:2], "reason": "Never.", "then_any": []}
    row |= {"brings": [], "at_cost_of": "customer", "generations": ["haldor-2"], "active": True}
    drafts.keep(kind="rules", key="never", data=row, by=anke)
    with pytest.raises(going_live.NotLiveError, match="No build of"):
        live(anke)
    assert not models.Rule.objects.filter(code="never").exists()


@pytest.mark.long
def test_what_moved_apart_waits_for_a_person(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210", offset_mm=49.0)
    models.Item.objects.filter(code=WHEEL).update(unit_price="205", name="Torvik renamed")
    with pytest.raises(going_live.NotLiveError) as refused:
        live(anke)
    assert [one.field for one in refused.value.flaws] == ["unit_price"]
    keep(anke, unit_price="210")  # looked at and saved again
    live(anke)
    item = models.Item.objects.get(code=WHEEL)
    assert (str(item.unit_price), item.name) == ("210.0000", "Torvik renamed")


@pytest.mark.long
def test_a_version_taken_back_is_a_new_one_with_the_old_rows(demo: Catalogue, anke: User) -> None:
    row = drafts.look(None, "wheels", WHEEL).now
    assert row is not None
    drafts.keep(kind="wheels", key="extra", data={**row, "code": "extra", "supplier_ref": "X"}, by=anke)
    keep(anke, unit_price="210")
    release = live(anke)
    back = going_live.take_back(release_id=release.pk, by=anke)
    assert back is not None
    assert back.takes_back == release
    assert back.version.number == release.version.number + 1
    assert back.version.digest == models.CatalogueVersion.objects.get(number=demo.version).digest
    assert going_live.take_back(release_id=release.pk, by=anke) is None  # twice is once


@pytest.mark.long
def test_taking_back_stops_at_what_was_changed_again(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210")
    first = live(anke)
    keep(anke, unit_price="215")
    live(anke)
    with pytest.raises(going_live.NotLiveError, match="changed again"):
        going_live.take_back(release_id=first.pk, by=anke)
    assert str(models.Item.objects.get(code=WHEEL).unit_price) == "215.0000"


def test_a_draft_thrown_away_or_live_is_closed(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210")
    draft = drafts.shared()
    assert draft is not None
    drafts.throw_away(draft_id=draft.pk, by=anke)
    drafts.throw_away(draft_id=draft.pk, by=anke)
    with pytest.raises(drafts.ClosedDraftError):
        going_live.put_live(draft_id=draft.pk, by=anke)
    assert drafts.begin().pk != draft.pk
    assert Draft.objects.filter(state=Draft.State.OPEN).count() == 1


@pytest.mark.long
def test_files_do_not_put_back_what_was_edited_since(demo: Catalogue, anke: User, folder: Path) -> None:
    keep(anke, unit_price="210")
    live(anke)
    with pytest.raises(loader.NewerEditsError) as refused:
        loader.load(folder)
    (edit,) = refused.value.edits
    assert (edit.key, edit.who, edit.fields) == (WHEEL, "anke", (("unit_price", "210", "203"),))
    with pytest.raises(CommandError, match="--over-newer-edits"):
        call_command("load_catalogue", str(folder))
    assert str(models.Item.objects.get(code=WHEEL).unit_price) == "210.0000"
    call_command("load_catalogue", str(folder), "--over-newer-edits")
    assert str(models.Item.objects.get(code=WHEEL).unit_price) == "203.0000"
    loader.load(folder)  # the files are the newest now


@pytest.mark.long
def test_files_that_say_the_same_as_the_edit_load(demo: Catalogue, anke: User, folder: Path) -> None:
    keep(anke, unit_price="210")
    live(anke)
    path = folder / "wheels.csv"
    lines = [
        line.replace(",203.00,", ",210.00,") if line.startswith(WHEEL + ",") else line
        for line in path.read_text().splitlines(keepends=True)
    ]
    path.write_text("".join(lines))
    assert not loader.load(folder).changed


@pytest.mark.long
def test_a_row_added_on_pages_is_not_pruned_without_a_word(demo: Catalogue, anke: User, folder: Path) -> None:
    row = drafts.look(None, "wheels", WHEEL).now
    assert row is not None
    drafts.keep(kind="wheels", key="extra", data={**row, "code": "extra", "supplier_ref": "X"}, by=anke)
    live(anke)
    loader.load(folder)
    with pytest.raises(loader.NewerEditsError, match="extra"):
        loader.load(folder, prune=True)
    assert models.Wheel.objects.filter(item__code="extra").exists()


@pytest.mark.long
def test_no_answer_of_one_trial_is_kept_for_the_next(demo: Catalogue, anke: User) -> None:
    keep(anke, unit_price="210")
    draft = drafts.shared()
    assert draft is not None
    first = going_live.catalogue_of(draft)
    first.kept("answers", most=9)["asked"] = "of the first"
    keep(anke, unit_price="220")
    second = going_live.catalogue_of(draft)
    assert (first.items[WHEEL].unit_price, second.items[WHEEL].unit_price) == (210, 220)
    assert second.kept("answers", most=9) == demo.kept("answers", most=9) == {}


@pytest.mark.long
def test_what_the_stock_pages_change_is_in_the_history_too(
    demo: Catalogue, admin_client: Client, folder: Path
) -> None:
    maker = models.Maker.objects.get(code="oustrel")
    address = reverse("admin:configurator_maker_change", args=[maker.pk])
    admin_client.post(address, {"code": "oustrel", "name": "Oustrel Works"})
    (change,) = history.of_row("makers", "oustrel")
    assert change.after == {"name": "Oustrel Works"}
    with pytest.raises(loader.NewerEditsError, match="Oustrel Works"):
        loader.load(folder)
