"""Sending: once, only what was shown, and only when it can be."""

from __future__ import annotations

import re

import pytest
from django.core.files.base import ContentFile
from django.db.models import F
from django.test import Client

from configurator.models import CatalogueVersion, Item, Photo, Spec, SpecRevision, Workshop
from shop.jobs.service import renew_link
from shop.models import Job

from .conftest import CONTACT, WHEEL, Visitor
from .test_build import error_beside


def add_photo(spec: Spec) -> Photo:
    """A clean photo of a build, as a worker leaves it."""
    photo = Photo(spec=spec, state=Photo.State.READY)
    photo.thumbnail.save("small.jpg", ContentFile(b"small"), save=True)
    return photo


@pytest.mark.long
def test_sending_leads_to_the_private_tracking_page(visitor: Visitor) -> None:
    answer = visitor.send()
    assert answer.status_code == 302
    job = Job.objects.get()
    assert answer["Location"] == f"/job/{job.token}/"
    revision = SpecRevision.objects.get()
    assert revision.name == CONTACT["name"]
    workshop = Workshop.objects.get()
    assert (revision.terms_version, revision.terms_text) == (workshop.terms_version, workshop.terms)


@pytest.mark.long
def test_sending_twice_makes_one_job(visitor: Visitor) -> None:
    first = visitor.send()
    again = visitor.post(**CONTACT, do="send")
    changed = visitor.post(**CONTACT, do="send", wheel="")
    assert first["Location"] == again["Location"] == changed["Location"]
    assert Job.objects.count() == SpecRevision.objects.count() == 1
    assert SpecRevision.objects.get().selection["front"]["wheel"] == WHEEL


@pytest.mark.long
def test_a_sent_build_leads_the_browser_that_sent_it_to_its_job(visitor: Visitor) -> None:
    address = visitor.send()["Location"]
    assert visitor.client.get(visitor.url)["Location"] == address
    assert visitor.post()["Location"] == address
    in_place = visitor.post(in_place=True)
    assert in_place["HX-Redirect"] == address


@pytest.mark.long
def test_the_link_of_a_sent_build_opens_nothing_to_others(visitor: Visitor) -> None:
    """The build's link may have been passed on: the job's own link is the only key to the job."""
    visitor.post()
    photo = add_photo(visitor.spec)
    visitor.send()
    job = Job.objects.get()
    stranger = Client()
    shown = stranger.get(visitor.url)
    assert shown.status_code == 200
    assert "This build has been sent" in shown.content.decode()
    for answer in (shown, stranger.post(visitor.url, {"do": "send"}), stranger.get(f"{visitor.url}compare/")):
        assert job.token not in answer.content.decode() + str(answer.headers)
        assert CONTACT["name"] not in answer.content.decode()
    asked = stranger.post(visitor.url, {}, headers={"HX-Request": "true"})
    assert asked["HX-Redirect"] == visitor.url
    closed = ("advice/front/", "section/front.svg", f"photos/{photo.token}/image/")
    assert [stranger.get(visitor.url + page).status_code for page in closed] == [404] * 3


@pytest.mark.long
def test_a_sent_build_is_not_read_beside_another(visitor: Visitor) -> None:
    """Its link opens nothing to others by itself, so it does not as the other side of a comparison either."""
    visitor.post()
    visitor.send()
    stranger = Visitor(Client())
    stranger.client.get(visitor.url)
    assert stranger.client.get(f"{stranger.url}compare/", {"other": visitor.url}).status_code == 422
    own = Visitor(visitor.client)
    assert visitor.client.get(f"{own.url}compare/", {"other": visitor.url}).status_code == 200


@pytest.mark.long
def test_after_a_new_link_not_even_the_browser_that_sent_it_has_a_way_in(visitor: Visitor) -> None:
    old = visitor.send()["Location"]
    renew_link(job_id=Job.objects.get().pk, by="system")
    page = visitor.client.get(visitor.url)
    assert page.status_code == 200
    assert "This build has been sent" in page.content.decode()
    assert visitor.client.get(old).status_code == 404


@pytest.mark.long
def test_missing_fields_are_told_beside_them_and_nothing_is_lost(visitor: Visitor) -> None:
    answer = visitor.send(name="", email="not an address", consent=None, phone="call me", notes="My words")
    html = answer.content.decode()
    assert answer.status_code == 422
    for field in ("name", "email", "phone", "consent"):
        assert error_beside(html, field), field
    assert "My words" in html
    assert "not an address" in html
    assert Job.objects.count() == 0
    assert visitor.spec.contact == {}


@pytest.mark.long
def test_a_strange_vin_warns_and_does_not_block(visitor: Visitor) -> None:
    visitor.post(**CONTACT, vin="11111111011111111", keep_contact="on")
    assert "check digit" in visitor.page()
    assert visitor.send(vin="11111111011111111").status_code == 302
    assert "check digit" in SpecRevision.objects.get().vin_warning


@pytest.mark.long
def test_what_was_never_shown_is_shown_first(visitor: Visitor) -> None:
    visitor.post(**CONTACT)
    answer = visitor.post(**CONTACT, do="send", spacer="")
    assert answer.status_code == 422
    assert "You changed something since the last price" in answer.content.decode()
    assert Job.objects.count() == 0
    assert visitor.post(**CONTACT, do="send", spacer="").status_code == 302


@pytest.mark.long
def test_a_dearer_catalogue_is_shown_before_it_is_agreed_to(visitor: Visitor) -> None:
    visitor.post(**CONTACT)
    Item.objects.filter(code=WHEEL).update(unit_price=F("unit_price") + 100)
    newest = CatalogueVersion.objects.first()
    CatalogueVersion.objects.create(number=newest.number + 1, digest="dearer")
    seen = str(newest.number)
    refused = visitor.post(**CONTACT, do="send", catalogue_version=seen)
    assert refused.status_code == 409
    assert "The price was" in refused.content.decode()
    assert Job.objects.count() == 0
    accepted = visitor.post(**CONTACT, do="send", catalogue_version=str(newest.number + 1))
    assert accepted.status_code == 302
    assert Job.objects.count() == 1


@pytest.mark.long
def test_conflicts_and_empty_builds_cannot_be_sent(visitor: Visitor) -> None:
    both = {"f-front-badge": "badge-front", "f-removals": ["front-badge-remove"]}
    assert visitor.send(**both).status_code == 422
    nothing = dict.fromkeys(("wheel", "tyre", "spacer", "f-calipers"), "")
    assert visitor.send(**nothing).status_code == 422
    assert Job.objects.count() == 0


@pytest.mark.long
@pytest.mark.parametrize("in_place", [False, True])
@pytest.mark.parametrize("text", ["terms_version", "privacy_version"])
def test_consent_to_an_old_text_is_asked_again_for_the_new_one(
    visitor: Visitor, text: str, in_place: bool
) -> None:
    visitor.post(**CONTACT)
    headers = {"HX-Trigger-Name": "do", "HX-Request": "true"} if in_place else {}
    posted = visitor.fields(**{**CONTACT, "do": "send", text: "an old one"})
    answer = visitor.client.post(visitor.url, posted, headers=headers)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert "have changed since you opened this page" in error_beside(html, "consent")
    assert not re.search(r'name="consent"[^>]*checked', html)
    workshop = Workshop.objects.get()
    assert f"Text version {workshop.terms_version}" in html
    now = re.search(rf'name="{text}" value="([^"]+)"', html)
    assert now
    assert now[1] == getattr(workshop, text)
    assert visitor.post(**{**CONTACT, "do": "send", text: now[1]}).status_code == 302


@pytest.mark.long
def test_what_was_refused_stays_judged_until_it_is_put_right(visitor: Visitor) -> None:
    def problems(**changes: object) -> str:
        answer = visitor.post(in_place=True, **{**CONTACT, **changes})
        assert answer.status_code == 200
        found = re.search(r'<div id="send-problems"[^>]*>(.*?)</div>', answer.content.decode(), re.S)
        return found[1] if found else "as it was"

    seen = re.search('data-marks="([^"]+)"', visitor.page())
    assert seen
    assert problems(seen=seen[1], consent=None) == "as it was"
    left = problems(seen=seen[1], consent=None, name="", asked="1")
    assert "#div_id_name" in left
    assert "#div_id_consent" in left
    left = problems(seen=seen[1], consent=None, asked="1")
    assert "#div_id_name" not in left
    assert "#div_id_consent" in left
    assert problems(seen=seen[1], asked="1") == "as it was"
    clash = {"f-front-badge": "badge-front", "f-removals": ["front-badge-remove"]}
    assert "does not go together" in problems(seen=seen[1], asked="1", **clash)


@pytest.mark.long
def test_a_copy_is_a_build_of_its_own(visitor: Visitor) -> None:
    visitor.post(build_name="First", do="name")
    answer = visitor.post(do="duplicate")
    assert answer["Location"] != visitor.url
    visitor.send()
    assert visitor.client.get(answer["Location"]).status_code == 200
    assert Photo.objects.count() == 0


@pytest.mark.long
def test_lines_count_as_the_browser_counts_them(visitor: Visitor) -> None:
    """A browser holds to 4000 with one character a line's end, and posts two."""
    lines = "\r\n".join(["x"] * 2000)
    assert visitor.send(notes=lines).status_code == 302
    assert visitor.spec.revisions.get().notes == "\n".join(["x"] * 2000)


@pytest.mark.long
def test_a_name_of_nothing_to_see_is_none(visitor: Visitor) -> None:
    answer = visitor.send(name="\u200b\u202e")
    assert answer.status_code == 422
    assert "Write your name" in answer.content.decode()
    visitor.send(name="Ida\u202e Holm")
    assert visitor.spec.revisions.get().name == "Ida Holm"


@pytest.mark.long
def test_a_page_that_stood_open_is_told_once_of_another_price(visitor: Visitor) -> None:
    visitor.post()
    opened = str(visitor.spec.catalogue_version)
    Item.objects.filter(code=WHEEL).update(unit_price=F("unit_price") + 100)
    CatalogueVersion.objects.create(number=int(opened) + 1, digest="dearer")
    there = {"catalogue_version": opened, "in_place": True}
    told = visitor.post(body_finish="drift-white", **there).content.decode().split('id="live-notes"')[1]
    assert "The workshop has changed something since you opened this page:" in told
    assert "The price was" in told.split("</div>")[0]
    assert "The workshop has changed" not in visitor.post(body_finish="quay-blue", **there).content.decode()


@pytest.mark.long
def test_a_choice_that_came_after_sending_is_not_said_to_be_in_it(visitor: Visitor) -> None:
    visitor.send()
    assert "is not in it" not in visitor.post(**CONTACT, in_place=True).content.decode()
    assert visitor.post(spacer="", in_place=True).headers["HX-Redirect"]
    job = visitor.client.get(visitor.url, follow=True).content.decode()
    assert "what you have just chosen is not in it" in job
    visitor.post(**CONTACT, do="send")
    assert "is not in it" not in visitor.client.get(visitor.url, follow=True).content.decode()
