"""Showing, comparing and drawing builds."""

from __future__ import annotations

from io import BytesIO

import pytest
from django.test import Client
from PIL import Image

from configurator.builds.carrying import carry
from configurator.builds.models import BUILD_LINK, Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.pages.told import told

from .conftest import CONTACT, Visitor


@pytest.mark.long
def test_a_shared_build_shows_the_vehicle_and_never_the_person(visitor: Visitor) -> None:
    visitor.post(**CONTACT, vin="0KBHR5274V0004278", do="name", build_name="Harbour van")
    html = visitor.client.get(f"/share/{visitor.spec.share_token}/").content.decode()
    assert "Harbour van" in html
    assert 'property="og:image"' in html
    assert visitor.spec.token not in html
    for private in (*CONTACT.values(), "0KBHR5274V0004278"):
        assert private == "on" or private not in html


def test_the_share_page_takes_no_changes(visitor: Visitor) -> None:
    assert visitor.client.post(f"/share/{visitor.spec.share_token}/").status_code == 405
    assert visitor.client.get(f"/build/{visitor.spec.share_token}/").status_code == 404


@pytest.mark.long
def test_the_picture_card_is_a_png_that_follows_the_build(visitor: Visitor) -> None:
    visitor.post()
    url = f"/share/{visitor.spec.share_token}/card.png"
    first = visitor.client.get(url)
    image = Image.open(BytesIO(first.content))
    assert (image.format, image.size) == ("PNG", (1200, 630))
    assert visitor.client.get(url, headers={"If-None-Match": first["ETag"]}).status_code == 304
    visitor.post(body_finish="quay-blue")
    assert visitor.client.get(url).content != first.content


@pytest.mark.long
def test_two_builds_side_by_side_show_only_what_differs(visitor: Visitor) -> None:
    visitor.post(do="name", build_name="Green")
    other = Visitor(visitor.client)
    other.post(body_finish="quay-blue", **{"f-calipers": []})
    html = visitor.client.get(f"{visitor.url}compare/", {"other": f"http://x/{other.url}"}).content.decode()
    table = html.split("<tbody>", 1)[1].split("</tbody>", 1)[0]
    assert "Tarnside green" in table
    assert "Quay blue" in table
    assert "Front calipers" in table
    assert "Torvik" not in table
    assert html.count("Total, tax included") == 2


def test_comparing_with_nothing_or_itself_is_told(visitor: Visitor) -> None:
    for other in ("", "nonsense", visitor.url, "\x00", "x" * 400):
        answer = visitor.client.get(f"{visitor.url}compare/", {"other": other})
        assert answer.status_code == 422


def test_cross_sections_for_what_was_changed(visitor: Visitor) -> None:
    assert visitor.client.get(f"{visitor.url}section/front.svg").status_code == 404
    visitor.post()
    answer = visitor.client.get(f"{visitor.url}section/front.svg")
    assert answer["Content-Type"] == "image/svg+xml"
    assert b"15" in answer.content
    assert visitor.client.get(f"{visitor.url}section/middle.svg").status_code == 404


@pytest.mark.long
def test_a_build_begins_with_what_was_shared(visitor: Visitor) -> None:
    visitor.post(**CONTACT)
    url = f"/share/{visitor.spec.share_token}/begin/"

    stranger = Client()
    begun = stranger.post(url, {"generation": "haldor-2"})

    spec = Spec.objects.get(BUILD_LINK.q(begun["Location"].split("/")[2]))
    assert spec.pk != visitor.spec.pk
    assert spec.selection["front"] == visitor.spec.selection["front"]
    assert spec.selection["accent"] == "ember-orange"
    assert not spec.contact
    assert "Torvik" in stranger.get(begun["Location"]).content.decode()


@pytest.mark.long
def test_on_another_vehicle_the_page_says_what_did_not_come_along(visitor: Visitor) -> None:
    visitor.post()
    url = f"/share/{visitor.spec.share_token}/begin/"
    answer = visitor.client.post(url, {"generation": "whinchat-680"}, follow=True)
    assert "was left out" in answer.content.decode()
    chosen = Selection.model_validate(visitor.spec.selection)
    left = carry(chosen, "whinchat-680", snapshot.current()).told
    assert [str(one) for one in answer.context["messages"]] == [told(one) for one in left]
    german = visitor.client.post(
        url, {"generation": "whinchat-680"}, follow=True, headers={"Accept-Language": "de"}
    )
    assert "passt nicht zu diesem Fahrzeug" in german.content.decode()


def test_beginning_like_a_build_needs_a_vehicle_that_we_have(visitor: Visitor) -> None:
    url = f"/share/{visitor.spec.share_token}/begin/"
    assert visitor.client.post(url, {"generation": "no-such"}).status_code == 404
    assert visitor.client.post(url).status_code == 404
    assert visitor.client.get(url).status_code == 405
    assert visitor.client.post(f"/share/{'x' * 32}/begin/", {"generation": "haldor-2"}).status_code == 404
