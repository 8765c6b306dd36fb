"""What would suit an axle: proposals that can be taken, and that do what they say."""

import pytest

from configurator.builds import changing
from configurator.builds.advice import advice
from configurator.builds.evaluate import evaluate

from .builds import BLACK_18, SPACER_15, VAN_TYRE_18, axles, harbour_van, van


def test_spacers_come_nearest_to_the_arch_first(catalogue):
    found = advice(harbour_van(), "front", catalogue)
    assert found.spacers
    assert f"front-spacer:{SPACER_15}" not in [proposal.token for proposal in found.spacers]
    assert all(proposal.verdict != "no" for proposal in found.spacers)


def test_fit_that_holds_needs_no_mending(catalogue):
    assert advice(harbour_van(), "front", catalogue).mends == ()


def test_change_that_mends_really_mends(catalogue):
    # A 30 mm spacer moves the track too far on this van.
    chosen = van(**axles(wheel=BLACK_18, tyre=VAN_TYRE_18, spacer="sb-5x112-666-30"))
    assert evaluate(chosen, catalogue).fits["front"].verdict == "no"
    mends = advice(chosen, "front", catalogue).mends
    assert mends
    for proposal in mends:
        changed = changing.apply(chosen, changing.Edit(add=(proposal.token,)), catalogue)
        assert evaluate(changed, catalogue).fits["front"].verdict != "no", proposal


def test_nothing_changed_gets_no_advice(catalogue):
    assert advice(van(), "front", catalogue) is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "+",
        "take:x",
        "+middle-wheel:x",
        "+front-wheel:../etc",
        "front-wheel",
        "+a b",
        "accent=",
        "+a" * 999,
    ],
)
def test_what_is_no_edit_is_none(text):
    assert changing.read(text) is None


@pytest.mark.parametrize(
    "edit",
    [
        changing.Edit(drop=("badge-front",), add=("front-wheel:original", "grille-1")),
        changing.Edit(accent="copper"),
        changing.Edit(add=("rear-spacer:none",), body="quay-blue"),
    ],
)
def test_an_edit_is_read_as_it_was_written(edit):
    assert changing.read(changing.written(edit)) == edit


@pytest.mark.parametrize("token", ["front-wheel:no-such", "no-such-option", "rear-spacer:original"])
def test_an_edit_to_something_unknown_is_not_known(token, catalogue):
    assert not changing.known(changing.Edit(add=(token,)), catalogue)
    assert changing.known(changing.Edit(drop=(token,)), catalogue)


def test_one_of_a_family_that_takes_one_replaces_the_other(catalogue):
    changed = changing.apply(van(), changing.Edit(add=("sport-bumper",)), catalogue)
    assert "sport-bumper" in changed.options
    assert "standard-bumper" not in changed.options


@pytest.mark.django_db
def test_page_takes_a_proposal_without_script(client, demo_catalogue):
    client.post("/begin/haldor-2/")
    from configurator.builds import service
    from configurator.models import Spec

    spec = Spec.objects.get()
    service.save_build(spec_id=spec.pk, selection=harbour_van())
    address = f"/build/{spec.token}/advice/front/"
    assert "Take this" in client.get(address).content.decode()
    assert client.post(address, {"change": "+front-spacer:none"}).status_code == 302
    spec.refresh_from_db()
    assert spec.selection["front"]["spacer"] is None
    assert client.post(address, {"change": "+front-spacer:no-such"}).status_code == 302
    assert client.get(f"/build/{spec.token}/").status_code == 200
    assert client.get(f"/build/{spec.token}/advice/middle/").status_code == 404
