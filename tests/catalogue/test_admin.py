"""Staff pages: the files' checks beside the fields, and a new version with every change."""

from __future__ import annotations

import pytest
from django.urls import reverse

from configurator.catalogue import models, snapshot, versions

PAGES = [
    *(
        model
        for model in versions.TABLES
        if model.__name__ not in ("Axle", "PaintLayer", "Operation", "Material", "ReadyLook")
    ),
    models.CatalogueVersion,
]


def address(name: str, page: str, *args: object) -> str:
    return reverse(f"admin:configurator_{name}_{page}", args=args)


def rule_form(rule: models.Rule, **changes: object) -> dict[str, object]:
    return {
        "code": rule.code,
        "kind": rule.kind,
        "if_all": "\n".join(rule.if_all),
        "then_any": "\n".join(rule.then_any),
        "brings": "[]",
        "at_cost_of": rule.at_cost_of,
        "reason": rule.reason,
        "generations": [one.pk for one in rule.generations.all()],
        "active": "on",
        **changes,
    }


@pytest.mark.long
def test_lists_and_searches_every_kind(demo, admin_client):
    for model in PAGES:
        name = model.__name__.lower()
        assert admin_client.get(address(name, "changelist"), {"q": "a"}).status_code == 200


@pytest.mark.long
def test_edits_every_kind(demo, admin_client):
    for model in PAGES:
        name = model.__name__.lower()
        assert admin_client.get(address(name, "change", model.objects.first().pk)).status_code == 200


@pytest.mark.long
def test_a_list_costs_the_same_queries_however_many_rows(demo, admin_client, django_assert_max_num_queries):
    admin_client.get(address("finish", "changelist"))  # notes in the session when it began
    with django_assert_max_num_queries(13):
        admin_client.get(address("fastener", "changelist"))


@pytest.mark.long
def test_an_unknown_word_in_a_rule_is_refused_beside_its_field(demo, admin_client):
    rule = models.Rule.objects.get(code="splitter-l2-bumper")
    page = admin_client.post(
        address("rule", "change", rule.pk), rule_form(rule, then_any="sport-bumper\nsports-bumper")
    )
    assert page.status_code == 200
    errors = page.context["adminform"].form.errors
    assert errors == {"then_any": ["‘sports-bumper’ is neither an option nor a part of an axle."]}
    rule.refresh_from_db()
    assert rule.then_any == ["sport-bumper"]


WRONG = [
    ({"if_all": ""}, "if_all"),
    ({"if_all": "tag:nothing"}, "if_all"),
    ({"then_any": ""}, "then_any"),
    ({"brings": '[{"item": "no-such-item", "quantity": 1}]'}, "brings"),
    ({"brings": '[{"item": "tape-6"}]'}, "brings"),
    ({"brings": "[[1]]"}, "brings"),
    ({"brings": "{"}, "brings"),
    ({"kind": "brings"}, "then_any"),
    ({"kind": "excludes"}, "if_all"),
]


@pytest.mark.parametrize("wrong", [WRONG[::4], pytest.param(WRONG, marks=pytest.mark.long)])
def test_a_rule_without_what_its_kind_needs_is_refused(demo, admin_client, wrong):
    rule = models.Rule.objects.get(code="splitter-l2-bumper")
    for changes, field in wrong:
        page = admin_client.post(address("rule", "change", rule.pk), rule_form(rule, **changes))
        assert page.status_code == 200, changes
        assert field in page.context["adminform"].form.errors, changes


@pytest.mark.long
def test_a_saved_rule_is_live_at_once_as_a_new_version(demo, admin_client):
    rule = models.Rule.objects.get(code="splitter-l2-bumper")
    page = admin_client.post(address("rule", "change", rule.pk), rule_form(rule, reason="It needs it."))
    assert page.status_code == 302
    now = snapshot.current()
    assert now.version == demo.version + 1
    assert now.rules["splitter-l2-bumper"].reason == "It needs it."
    assert "admin: changed splitter-l2-bumper" in models.CatalogueVersion.objects.first().note


@pytest.mark.long
def test_saving_without_a_change_makes_no_version(demo, admin_client):
    rule = models.Rule.objects.get(code="splitter-l2-bumper")
    assert admin_client.post(address("rule", "change", rule.pk), rule_form(rule)).status_code == 302
    assert snapshot.current().version == demo.version


@pytest.mark.long
def test_deleting_makes_a_new_version(demo, admin_client):
    rule = models.Rule.objects.get(code="film-needs-front-work")
    admin_client.post(address("rule", "delete", rule.pk), {"post": "yes"})
    assert "film-needs-front-work" not in snapshot.current().rules


@pytest.mark.long
def test_a_tyre_that_cannot_be_read_is_refused(demo, admin_client):
    tyre = models.Tyre.objects.first()
    page = admin_client.post(
        address("tyre", "change", tyre.pk),
        {"item": tyre.pk, "maker": "x", "designation": "205/6R16", "vehicle_class": "car"},
    )
    assert "designation" in page.context["adminform"].form.errors


def test_versions_are_only_read(demo, admin_client):
    assert admin_client.get(address("catalogueversion", "add")).status_code == 403
    newest = models.CatalogueVersion.objects.first()
    assert admin_client.post(address("catalogueversion", "delete", newest.pk)).status_code == 403
    assert admin_client.get(address("workshop", "add")).status_code == 403


@pytest.mark.long
def test_staff_cannot_type_what_fitment_could_not_read(demo, admin_client):
    bolt = models.Fastener.objects.get(item__code="bolt-m14x15-cone60-42-blk")
    typed = {
        "item": bolt.pk,
        "kind": "screw",
        "thread": "fourteen",
        "shank_mm": "-1",
        "seat": "round",
        "property_class": "7",
        "finish": bolt.finish_id,
    }
    page = admin_client.post(address("fastener", "change", bolt.pk), typed)
    errors = page.context["adminform"].form.errors
    assert set(errors) == {"kind", "thread", "shank_mm", "seat", "property_class"}
    assert "‘fourteen’ is not written as it should be" in errors["thread"][0]


@pytest.mark.long
def test_an_axle_is_judged_beside_its_generation(demo, admin_client):
    generation = models.Generation.objects.get(code="haldor-2")
    page = admin_client.get(address("generation", "change", generation.pk))
    inline = page.context["inline_admin_formsets"][0].formset
    typed = {field.html_name: field.value() for form in inline.forms for field in form}
    typed |= {field.html_name: field.value() for field in inline.management_form}
    typed |= {field.html_name: field.value() for field in page.context["adminform"].form}
    typed["body_finishes"] = [finish.pk for finish in generation.body_finishes.all()]
    typed["body"], typed["facts"] = "{}", "twin-rear-doors standard-bumper"
    for at in (0, 1):
        typed[f"axles-{at}-brake_envelope_mm"] = "[[178, -35], [140, 20]]"
    typed = {name: "" if value is None else value for name, value in typed.items()}
    broken = typed | {
        "axles-0-original_tyre": "205/6R16",
        "axles-1-seat": "round",
        "axles-1-brake_envelope_mm": "[1]",
    }
    page = admin_client.post(address("generation", "change", generation.pk), broken)
    assert page.status_code == 200
    found = page.context["inline_admin_formsets"][0].formset.errors
    assert set(found[0]) == {"original_tyre"}
    assert set(found[1]) == {"seat", "brake_envelope_mm"}
    page = admin_client.post(address("generation", "change", generation.pk), typed)
    assert page.status_code == 302, page.context["errors"]


def option_form(option: models.Option, **changes: object) -> dict[str, object]:
    return {
        "code": option.code,
        "family": option.family_id,
        "name": option.name,
        "kind": option.kind,
        "item": option.item_id or "",
        "item_quantity": option.item_quantity,
        "recipe": option.recipe_id or "",
        "generations": [one.pk for one in option.generations.all()],
        "finish_choices": " ".join(option.finish_choices),
        "paint_system": option.paint_system_id or "",
        "paint_area_m2": option.paint_area_m2,
        "bond_length_m": option.bond_length_m,
        "picture_part": option.picture_part,
        "tags": " ".join(option.tags),
        "position": option.position,
        **changes,
    }


@pytest.mark.parametrize("several", [slice(2), pytest.param(slice(2, None), marks=pytest.mark.long)])
def test_forms_refuse_what_the_files_refuse(demo, admin_client, several):
    """A recipe that paints and no finish, metres and no length, another's recipe: checks of the files."""
    option = models.Option.objects.get(code="haldor-splitter-l1")
    other = models.Recipe.objects.filter(covers="wheels").first()
    wrong = [
        ({"finish_choices": ""}, "finish_choices", "belong together"),
        ({"bond_length_m": 0}, "bond_length_m", "counts by metre"),
        ({"recipe": other.pk}, "recipe", "is not one for options"),
        ({"finish_choices": "body no-such"}, "finish_choices", "neither body, accent nor a finish"),
        ({"tags": "Grille"}, "tags", "lower-case"),
    ]
    assert admin_client.post(address("option", "change", option.pk), option_form(option)).status_code == 302
    for changes, field, said in wrong[several]:
        page = admin_client.post(address("option", "change", option.pk), option_form(option, **changes))
        assert page.status_code == 200, changes
        assert said in " ".join(page.context["adminform"].form.errors.get(field, [])), changes


@pytest.mark.long
def test_a_finish_is_judged_by_the_files_checks(demo, admin_client):
    heat = models.Finish.objects.filter(role="heat").first()
    typed = {"code": heat.code, "name": heat.name, "role": "heat", "hex": heat.hex, "sheen": heat.sheen}
    page = admin_client.post(address("finish", "change", heat.pk), typed)
    assert "must say which finish" in str(page.context["adminform"].form.errors["same_colour_as"])
    typed = {"code": heat.code, "name": heat.name, "role": "standard", "hex": heat.hex, "sheen": heat.sheen}
    page = admin_client.post(address("finish", "change", heat.pk), typed)
    assert "has no heat-resistant version" in page.content.decode()
    heat.refresh_from_db()
    assert heat.role == "heat"
