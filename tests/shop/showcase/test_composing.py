"""Looks composed by staff: chosen on a working copy, kept live, ordered, retired; told of when they fall."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from configurator.builds import ready_looks
from configurator.builds.models import Spec
from configurator.catalogue import drafts, exporting, loader, snapshot
from configurator.catalogue.models import ReadyLook
from configurator.catalogue.models_changes import Release
from configurator.catalogue.plain import kind_of, live_row
from configurator.catalogue.snapshot import Catalogue
from tests.shop import factories

FIRST, DARK = "haldor-first-light", "haldor-after-dark"
WHEEL = "torvik-8x18-5x112-et50-gloss-black"
WORDS = {
    "name": "Evening wind",
    "summary": "Dark badges.",
    "de-name": "Abendwind",
    "de-summary": "Dunkle Embleme.",
}


@pytest.fixture
def manager(demo_catalogue: Catalogue) -> Client:
    client = Client()
    client.force_login(factories.staff("manager", name="anke"))
    return client


def begun(client: Client, generation: str, look: str = "") -> Spec:
    client.post(reverse("shop:look_begin"), {"generation": generation, "look": look})
    return Spec.objects.exclude(back_to="").latest("pk")


def choose(client: Client, copy: Spec, **fields: Any) -> str:
    """Choose on the copy as on a customer's page, and go back to where it was begun from."""
    sent = {
        "body_finish": "bilberry-blue",
        "accent": "ember-orange",
        "f-front-badge": "badge-front",
        **fields,
    }
    answer = client.post(reverse("configurator:build", args=[copy.token]), {**sent, "do": "back"})
    assert answer["Location"] == copy.back_to
    return str(answer["Location"])


def kept(client: Client, address: str, **fields: str) -> Any:
    seen = client.get(address).context["form"]["seen"].value() or ""
    return client.post(address, {**WORDS, "seen": seen, "do": "keep", **fields})


@pytest.mark.long
def test_composed_kept_and_offered_in_both_languages(manager: Client) -> None:
    copy = begun(manager, "merle-2")
    address = choose(manager, copy, **{"f-front-bumper": "sport-bumper"})
    shown = manager.get(address)
    assert shown.context["judged"].stands
    assert kept(manager, address).status_code == 302
    look = ReadyLook.objects.get(generation__code="merle-2")
    assert (look.name, look.position) == ("Evening wind", 1)
    assert look.options == ["badge-front"], "it states no bumper"
    assert not Spec.objects.filter(pk=copy.pk).exists()
    release = Release.objects.all()[0]
    assert (release.title, release.by.username) == ("Look “Evening wind” composed", "anke")  # type: ignore[union-attr]
    german = Client().get("/", headers={"Accept-Language": "de"}).content.decode()
    assert "Abendwind" in german
    assert "Evening wind" not in german
    assert "kept already" in manager.get(address, follow=True).content.decode(), "pressed twice"


@pytest.mark.long
def test_what_nobody_could_send_is_not_kept(manager: Client) -> None:
    copy = begun(manager, "merle-2")
    address = choose(manager, copy, **{"f-front-badge": "badge-front", "f-removals": "front-badge-remove"})
    page = manager.get(address).content.decode()
    assert "This cannot be kept yet" in page
    answer = kept(manager, address)
    assert answer.status_code == 422
    assert answer.context["form"]["name"].value() == "Evening wind"
    assert not ReadyLook.objects.filter(generation__code="merle-2").exists()
    nothing = begun(manager, "vireo-4")
    assert kept(manager, nothing.back_to).status_code == 422
    manager.post(address, {"do": "give-up"})
    assert not Spec.objects.filter(pk=copy.pk).exists()


@pytest.mark.long
def test_chosen_anew_keeps_code_and_place_and_tells_who_was_quicker(manager: Client) -> None:
    copy = begun(manager, "haldor-2", DARK)
    assert manager.get(copy.back_to).context["form"]["de-name"].value() == "Nach Einbruch der Dunkelheit"
    late = manager.get(copy.back_to).context["form"]["seen"].value()
    words = {"name": "After dark", "summary": "New.", "de-name": "", "de-summary": ""}
    address = reverse("shop:look_words", args=[DARK])
    seen = manager.get(address).context["form"]["seen"].value()
    assert manager.post(address, {**words, "seen": seen}).status_code == 302
    assert drafts.live("texts", f"de/looks/{DARK}/name") is None
    answer = manager.post(copy.back_to, {**WORDS, "seen": late, "do": "keep"})
    assert answer.status_code == 422
    assert "Somebody changed this look" in answer.content.decode()
    assert kept(manager, copy.back_to).status_code == 302
    row = live_row(kind_of("looks"), DARK)
    assert row is not None
    assert (row["name"], row["position"]) == ("Evening wind", 2)


@pytest.mark.long
def test_put_in_order_retired_and_brought_back(manager: Client) -> None:
    def order() -> list[str]:
        return [one.code for one in ready_looks.of_generation("haldor-2", snapshot.current())]

    first = order()
    act = reverse("shop:look_act", args=[DARK])
    manager.post(act, {"do": "up"})
    assert order() == [first[1], first[0], first[2]]
    manager.post(act, {"do": "up"})  # it is the first already
    assert order() == [first[1], first[0], first[2]]
    manager.post(act, {"do": "retire"})
    assert DARK not in order()
    assert DARK in {one.code for one in snapshot.current().retired["looks"].values()}
    manager.post(act, {"do": "back"})
    assert order()[0] == DARK
    for deed in ("up", "retire", "nonsense"):
        answer = manager.post(reverse("shop:look_act", args=["no-such"]), {"do": deed})
        assert answer.status_code == 302


@pytest.mark.long
def test_a_draft_tried_says_which_looks_it_breaks_and_putting_it_live_tells(manager: Client) -> None:
    row = live_row(kind_of("wheels"), WHEEL)
    assert row is not None
    drafts.keep(kind="wheels", key=WHEEL, data={**row, "retired": True}, by=None)
    tried = manager.get(reverse("shop:range_try"))
    assert [one.look.code for one in tried.context["answer"].looks] == [DARK]
    assert "After dark" in tried.content.decode()
    assert ready_looks.fallen(snapshot.current()) == []
    live = manager.post(reverse("shop:range_put_live"), follow=True).content.decode()
    assert "The look “After dark” no longer stands" in live
    page = manager.get(reverse("shop:looks")).content.decode()
    assert "not offered: it no longer stands" in page
    assert DARK not in Client().get("/").content.decode()
    assert '<span class="count">1</span>' in manager.get(reverse("shop:range")).content.decode()


@pytest.mark.long
def test_lint_names_a_look_that_is_not_offered(manager: Client, capsys: Any) -> None:
    row = live_row(kind_of("options"), "haldor-skirts")
    assert row is not None
    drafts.keep(kind="options", key="haldor-skirts", data={**row, "retired": True}, by=None)
    manager.post(reverse("shop:range_put_live"))
    call_command("lint_catalogue")
    assert f"look not offered     {DARK}" in capsys.readouterr().out


@pytest.mark.long
def test_a_composed_look_goes_out_with_the_files_and_comes_back_without_a_difference(
    manager: Client, tmp_path: Any
) -> None:
    address = choose(manager, begun(manager, "merle-2"))
    kept(manager, address)
    exporting.write_folder(tmp_path / "out")
    assert "Evening wind" in (tmp_path / "out" / "looks.csv").read_text()
    assert not loader.load(tmp_path / "out").changed


def test_no_such_vehicle_or_look_begins_nothing(manager: Client) -> None:
    for generation, look in (("no-such", ""), ("haldor-2", "ambry-copper"), ("haldor-2", "\x00"), ("", "")):
        answer = manager.post(reverse("shop:look_begin"), {"generation": generation, "look": look})
        assert answer["Location"] == reverse("shop:looks")
    assert not Spec.objects.exists()
