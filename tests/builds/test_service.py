"""A build's life: saved whatever it is, sent once, told when what was shown has changed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from configurator.builds import sending, service
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot, versions
from configurator.models import Item, Spec, SpecRevision
from shop.models import Job

from .builds import harbour_van, van

CONTACT = sending.Contact(name="Mirela Vasant", email="mirela@harbour.example", vin="11111111111111112")


@pytest.fixture
def spec(demo_catalogue):
    """A saved build that can be sent."""
    made = service.start_build(generation="haldor-2")
    service.save_build(spec_id=made.pk, selection=harbour_van())
    made.refresh_from_db()
    return made


def send(spec):
    return sending.send_build(spec_id=spec.pk, contact=CONTACT, terms_version="1", terms_text="our terms")


def test_links_cannot_be_guessed_and_never_repeat(demo_catalogue):
    specs = [service.start_build(generation="haldor-2") for _ in range(20)]
    tokens = {token for spec in specs for token in (spec.token, spec.share_token)}
    assert len(tokens) == 40
    assert min(map(len, tokens)) >= 32


def test_sending_freezes_what_was_shown(spec):
    sent = send(spec)
    revision = SpecRevision.objects.get()
    assert sent.made
    assert revision.number == 1
    assert Selection.model_validate(revision.selection) == harbour_van()
    assert Evaluation.model_validate(revision.evaluation).price == service.look_at(spec).price
    assert revision.terms_text == "our terms"
    assert "check digit" in revision.vin_warning


def test_sending_twice_makes_one_revision_and_one_job(spec):
    first, second = send(spec), send(spec)
    assert (first.made, second.made) == (True, False)
    assert first.next_url == second.next_url
    assert SpecRevision.objects.count() == Job.objects.count() == 1


def test_sent_build_cannot_be_changed(spec):
    send(spec)
    with pytest.raises(service.AlreadySentError):
        service.save_build(spec_id=spec.pk, selection=van())


def test_what_has_problems_is_kept_and_not_sent(demo_catalogue):
    made = service.start_build(generation="haldor-2")
    wrong = van(options=("no-such-option", "haldor-grille"))
    service.save_build(spec_id=made.pk, selection=wrong)
    made.refresh_from_db()
    assert Selection.model_validate(made.selection) == wrong
    with pytest.raises(sending.NotSendableError):
        send(made)
    assert not SpecRevision.objects.exists()


@pytest.mark.long
def test_dearer_part_is_told_before_sending_and_agreed_by_sending_again(spec):
    Item.objects.filter(code="panel-haldor-grille").update(unit_price=Decimal("999.00"))
    changed = Item.objects.filter(options__code="haldor-grille").update(unit_price=Decimal("999.00"))
    assert changed == 1
    versions.bump(note="dearer grille")
    with pytest.raises(sending.StaleBuildError) as stale:
        send(spec)
    assert "The price was" in stale.value.changes[0]
    service.save_build(spec_id=spec.pk, selection=harbour_van())
    assert send(spec).made


def test_job_does_not_read_the_live_catalogue_again(spec):
    before = send(spec).revision.evaluation
    Item.objects.update(unit_price=Decimal("1.00"))
    versions.bump(note="everything for one")
    snapshot.forget()
    assert SpecRevision.objects.get().evaluation == before
    assert Decimal(Job.objects.get().revision.evaluation["price"]["total"]) > 1000


def test_copy_is_a_build_of_its_own(spec):
    send(spec)
    copy = service.duplicate_build(spec_id=spec.pk)
    assert copy.token != Spec.objects.get(pk=spec.pk).token
    assert copy.sent_at is None
    assert service.look_at(copy).sendable
