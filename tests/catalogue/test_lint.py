"""Lint: contradictions keep a catalogue from going live, everything else is said to staff."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from configurator.catalogue import lint, loader, models, snapshot, versions

pytestmark = pytest.mark.django_db

CONTRADICTION = """
[[rule]]
code = "no-doors"
kind = "excludes"
if_all = ["twin-rear-doors", "standard-bumper"]
reason = "Twin doors and the standard bumper cannot be."

[[rule]]
code = "no-sport"
kind = "excludes"
if_all = ["twin-rear-doors", "sport-bumper"]
reason = "Twin doors and the sport bumper cannot be."
"""


def rule(code, kind, if_all, then_any=(), **more):
    return models.Rule.objects.create(
        code=code,
        kind=kind,
        if_all=list(if_all),
        then_any=list(then_any),
        reason=f"Because of {code}.",
        **more,
    )


def found() -> dict[str, str]:
    return {row.subject: row.kind for row in lint.lint(snapshot.read(0, ""))}


@pytest.mark.long
def test_the_demonstration_has_nothing_to_mend(demo):
    assert lint.lint(demo) == []


@pytest.mark.long
def test_a_contradiction_does_not_load_and_says_why(folder):
    (folder / "rules.toml").write_text((folder / "rules.toml").read_text() + CONTRADICTION)
    with pytest.raises(loader.CatalogueError) as caught:
        loader.load(folder)
    message = str(caught.value)
    assert "No build of Brannvik Haldor II is valid." in message
    assert "Twin doors and the standard bumper cannot be." in message
    assert models.Supplier.objects.count() == 0
    assert models.CatalogueVersion.objects.count() == 0


@pytest.mark.long
def test_an_option_that_can_never_be_chosen_is_found_with_its_reason(demo):
    rule("never", "needs", ["haldor-skirts"], ["paint-seal"])
    rule("not-both", "excludes", ["haldor-skirts", "paint-seal"])
    row = next(row for row in lint.lint(snapshot.read(0, "")) if row.subject == "haldor-skirts")
    assert (row.kind, row.blocking, row.generation) == ("never_chosen", False, "haldor-2")
    assert "Side skirts can never be chosen for Brannvik Haldor II." in row.message
    assert "Because of never." in row.message


@pytest.mark.long
def test_an_option_of_several_vehicles_is_found_only_when_none_allows_it(demo):
    haldor = models.Generation.objects.get(code="haldor-2")
    rule("not-here", "excludes", ["wheel-seal", "twin-rear-doors"]).generations.add(haldor)
    assert "wheel-seal" not in found()


@pytest.mark.long
def test_rules_that_never_matter_are_found(demo):
    rule("same-again", "needs", ["haldor-splitter-l2"], ["sport-bumper"])
    rule("nothing-here", "needs", ["twin-rear-doors", "tailgate"], ["paint-seal"])
    assert {code: kind for code, kind in found().items() if kind == "never_matters"} == {
        "same-again": "never_matters",
        "splitter-l2-bumper": "never_matters",
        "nothing-here": "never_matters",
    }


@pytest.mark.long
def test_words_left_behind_by_a_deletion_are_contradictions(demo):
    models.Option.objects.get(code="paint-seal").delete()
    rows = [row for row in lint.lint(snapshot.read(0, "")) if row.blocking]
    assert [(row.kind, row.subject) for row in rows] == [("unknown_option", "film-needs-front-work")]
    assert "‘paint-seal’ is neither an option nor a part of an axle." in rows[0].message


@pytest.mark.long
def test_the_command_prints_notes_and_fails_on_contradictions(demo, capsys):
    call_command("lint_catalogue")
    assert "no contradiction, 0 notes" in capsys.readouterr().out
    rule("no-doors", "excludes", ["twin-rear-doors"])
    snapshot.forget()
    with pytest.raises(CommandError, match="1 contradiction"):
        call_command("lint_catalogue")
    assert "No build of Brannvik Haldor II is valid. Because of no-doors." in capsys.readouterr().out


@pytest.mark.long
def test_staff_cannot_save_a_contradiction_and_lose_nothing_typed(demo, admin_client):
    form = {
        "code": "no-doors",
        "kind": "excludes",
        "if_all": "twin-rear-doors standard-bumper",
        "then_any": "",
        "brings": "[]",
        "at_cost_of": "customer",
        "reason": "It cannot be.",
        "active": "on",
    }
    page = admin_client.post(reverse("admin:configurator_rule_add"), form)
    assert page.status_code == 200
    errors = page.context["adminform"].form.non_field_errors()
    assert errors == ["No build of Brannvik Haldor II is valid. It cannot be."]
    assert b"It cannot be." in page.content
    assert not models.Rule.objects.filter(code="no-doors").exists()
    assert snapshot.current().version == demo.version


@pytest.mark.long
def test_staff_cannot_delete_what_a_rule_still_names(demo, admin_client):
    option = models.Option.objects.get(code="paint-seal")
    address = reverse("admin:configurator_option_delete", args=[option.pk])
    page = admin_client.post(address, {"post": "yes"}, follow=True)
    assert "neither an option nor a part" in page.content.decode()
    assert models.Option.objects.filter(pk=option.pk).exists()
    several = {"action": "delete_selected", "_selected_action": [option.pk], "post": "yes"}
    page = admin_client.post(reverse("admin:configurator_option_changelist"), several, follow=True)
    assert "Nothing was deleted." in page.content.decode()
    assert models.Option.objects.filter(pk=option.pk).exists()


@pytest.mark.long
def test_staff_see_the_findings_on_a_page(demo, admin_client):
    address = reverse("admin:configurator_rule_lint")
    assert "Nothing to mend" in admin_client.get(address).content.decode()
    rule("same-again", "needs", ["haldor-splitter-l2"], ["sport-bumper"])
    versions.bump(note="test")
    page = admin_client.get(address).content.decode()
    assert "same-again" in page
    assert "Other rules say the same already" in page


def test_the_page_is_for_staff_who_may_see_rules(client):
    assert client.get(reverse("admin:configurator_rule_lint")).status_code == 302
