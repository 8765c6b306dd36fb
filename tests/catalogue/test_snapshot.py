"""The catalogue in memory: complete, cheap, and new exactly when something changed."""

from __future__ import annotations

import pytest

from configurator.builds import listing, looks, offers
from configurator.builds.selection import Selection
from configurator.catalogue import models, ruleset, snapshot, versions

pytestmark = pytest.mark.django_db


def walk(catalogue: snapshot.Catalogue) -> int:
    """Touch every relation that pages and the evaluation use; return how many rows were seen."""
    seen = 0
    for generation in catalogue.generations.values():
        seen += len(generation.axles.all()) + len(generation.body_finishes.all()) + len(generation.maker.name)
    for option in catalogue.options.values():
        seen += (
            len(option.generations.all())
            + len(option.family.code)
            + bool(option.item and option.item.supplier)
        )
    for recipe in catalogue.recipes.values():
        seen += len(recipe.operations.all()) + sum(
            len(row.item.supplier.name) for row in recipe.materials.all()
        )
    for system in catalogue.paint_systems.values():
        seen += sum(len(coat.item.supplier.code) for coat in system.layers.all())
    for part in (*catalogue.wheels.values(), *catalogue.fasteners.values()):
        seen += len(part.item.supplier.name) + len(part.finish.name)
    for axle in catalogue.axles.values():
        seen += axle.generation.max_speed_kmh + len(axle.generation.maker.name)
    for rule in catalogue.rules.values():
        seen += len(rule.generations.all())
    return seen


def test_using_it_needs_one_query_and_no_more(demo, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert walk(snapshot.current()) > 1000


@pytest.mark.long
def test_reading_it_needs_as_many_queries_for_many_rows_as_for_few(demo, django_assert_num_queries):
    item = models.Item.objects.get(code="tape-6")
    models.Item.objects.bulk_create(
        models.Item(code=f"more-{n}", name="More", supplier=item.supplier, unit_cost=1, unit_price=2)
        for n in range(300)
    )
    with django_assert_num_queries(28):
        catalogue = snapshot.read(0, "")
    assert len(catalogue.items) == len(demo.items) + 300


def test_the_same_version_is_the_same_object(demo):
    assert snapshot.current() is snapshot.current()


@pytest.mark.long
def test_a_new_version_is_read_anew(demo):
    models.Item.objects.filter(code="tape-6").update(unit_price=9)
    assert snapshot.current().items["tape-6"].unit_price != 9
    versions.bump(note="test")
    assert snapshot.current().items["tape-6"].unit_price == 9


def test_without_a_catalogue_everything_is_empty():
    empty = snapshot.current()
    assert (empty.version, empty.workshop, empty.options) == (0, None, {})


@pytest.mark.long
def test_the_digest_sees_every_table(demo):
    before = versions.digest()
    for model in versions.TABLES:
        row = model.objects.order_by("-pk").first()
        kinds = ("CharField", "TextField", "FloatField")
        field = next(f for f in model._meta.fields if f.get_internal_type() in kinds and f.name != "code")
        text = isinstance(getattr(row, field.name), str)
        model.objects.filter(pk=row.pk).update(**{field.name: "x" if text else 7})
        now = versions.digest()
        assert now != before, model
        before = now


def test_the_digest_sees_which_vehicles_an_option_is_for(demo):
    before = versions.digest()
    models.Option.objects.get(code="haldor-grille").generations.add(
        models.Generation.objects.get(code="ambry-1")
    )
    assert versions.digest() != before


def test_what_was_worked_out_goes_with_the_catalogue_it_was_worked_out_from(demo):
    """Drafts have the same number and digest: their rules, drawings and offers are apart all the same."""
    van = demo.generations["haldor-2"]
    axle = demo.axles["haldor-2", "front"]
    assert ruleset.for_generation(demo, van).reasons
    assert looks.body_of("haldor-2", demo)
    assert offers.wheel_offers(axle, None, demo)
    assert listing.elsewhere(Selection(generation="haldor-2"), "front", demo)
    models.Rule.objects.update(active=False)
    models.Generation.objects.update(body={})
    models.Wheel.objects.all().delete()
    again = snapshot.read(demo.version, demo.digest)
    assert not ruleset.for_generation(again, again.generations["haldor-2"]).reasons
    assert looks.body_of("haldor-2", again) is None
    assert not offers.wheel_offers(again.axles["haldor-2", "front"], None, again)
    assert not listing.elsewhere(Selection(generation="haldor-2"), "front", again)
    assert ruleset.for_generation(demo, van).reasons
