"""What would suit an axle: proposals that can be taken, and that do what they say."""

import pytest

from configurator.builds import changing
from configurator.builds.advice import advice
from configurator.builds.evaluate import evaluate
from configurator.builds.selection import Selection

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


@pytest.mark.long
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


SLOW = {"wheel": "vadum-7.5x18-5x108-et45-gloss-black", "tyre": "town-225-40r18-92q"}
QUICK = "road-225-40r18-92y"


def test_what_mends_one_axle_does_not_claim_to_mend_the_build(catalogue):
    # Both axles have a tyre too slow for the vehicle: one change mends one axle, not the build.
    both = Selection(generation="vireo-4", **axles(**SLOW))
    mends = advice(both, "front", catalogue).mends
    assert [each.token for each in mends if "tyre" in each.token] == [f"front-tyre:{QUICK}"]
    assert all(each.reason.endswith("(the rest of the build needs a change of its own)") for each in mends)
    rear = {"wheel": SLOW["wheel"], "tyre": QUICK}
    one = Selection(generation="vireo-4", front=SLOW, rear=rear)
    mends = advice(one, "front", catalogue).mends
    assert mends
    for proposal in mends:
        changed = changing.apply(one, changing.Edit(add=(proposal.token,)), catalogue)
        whole = evaluate(changed, catalogue).verdict
        assert (whole == "no") == proposal.reason.endswith("a change of its own)"), proposal


def test_no_proposal_stands_twice_and_none_names_a_check_by_its_id(catalogue):
    thick = van(**axles(wheel=BLACK_18, tyre=VAN_TYRE_18, spacer="sb-5x112-666-30"))
    slow = Selection(generation="vireo-4", **axles(**SLOW))
    for chosen in (harbour_van(), thick, slow):
        found = advice(chosen, "front", catalogue)
        tokens = [proposal.token for proposal in found.proposals]
        assert len(tokens) == len(set(tokens))
        assert not [each.reason for each in found.proposals if "_" in each.reason]


def test_what_simply_fits_is_proposed_first(catalogue):
    order = ("fits", "measure", "unknown")
    for chosen in (harbour_van(), van(**axles(wheel=BLACK_18, tyre=VAN_TYRE_18))):
        found = advice(chosen, "rear", catalogue)
        for group in (found.spacers, found.tyres):
            places = [order.index(each.verdict) for each in group]
            assert places == sorted(places)


def test_the_stock_that_fits_is_counted(catalogue):
    found = advice(Selection(generation="merle-2", front={"tyre": "road-225-50r17-98w"}), "front", catalogue)
    assert found.wheels_that_fit >= 8


def test_axles_that_do_not_go_together_are_refused_with_one_row(catalogue):
    # 265/65R17 at the front is 776 mm, 275/55R20 at the rear 810: four-wheel drive bears about 1 per cent.
    chosen = Selection(
        generation="skarn-3",
        options=("standard-bumper", "skarn-arch-trims"),
        rear={"wheel": "ristel-9x20-6x1397-et25-gloss-black", "tyre": "trail-275-55r20-117t"},
    )
    evaluation = evaluate(chosen, catalogue)
    rows = [row for fit in evaluation.fits.values() for row in fit.checks if row.id == "axle_pairing"]
    assert [(row.verdict, row.message.id) for row in rows] == [("no", "axle_pairing.no_four")]
    assert rows[0].value == pytest.approx((776 / 810 - 1) * 100, abs=1e-3)
    assert evaluation.verdict == "no"
    both = axles(wheel="ristel-9x20-6x1397-et25-gloss-black", tyre="trail-275-55r20-117t")
    same = evaluate(Selection(generation="skarn-3", **both), catalogue)
    rows = [row for fit in same.fits.values() for row in fit.checks if row.id == "axle_pairing"]
    assert [row.verdict for row in rows] == ["fits"]
