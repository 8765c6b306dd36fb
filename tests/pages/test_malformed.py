"""Whatever is posted to the build page, it answers in words: never a 500, and never another's build.

A few cases in the default run, more among the long tests; ``KERBLINE_PAGE_CASES=5000`` tries thousands in
either.
"""

from __future__ import annotations

import os
import random

import pytest

from configurator.builds.models import BUILD_LINK
from configurator.models import Spec, SpecRevision

CASES = os.environ.get("KERBLINE_PAGE_CASES")
NAMES = [
    "wheel", "tyre", "spacer", "rear_wheel", "rear_tyre", "rear_spacer", "rear_differs", "body_finish",
    "accent", "accent_wanted", "accent_free", "option_grille", "options", "grille", "splitter", "calipers",
    "removals", "finish_haldor-splitter-l1", "name", "email", "vin", "registration", "notes", "phone",
    "consent", "terms_version", "do", "change", "catalogue_version", "price", "total", "other",
    "build_name", "f-grille",
    "f-calipers", "",
]  # fmt: skip
VALUES = [
    "", "0", "-1", "9" * 400, "NaN", "true", "null", "[]", "{}", "torvik-8x18-5x112-et50-gloss-black",
    "lean-120-70r17-58w", "sp-5x112-666-15", "quay-blue", "ember-orange", "#e8601c", "#zzzzzz", "free",
    "send", "update", "delete", "conflict:0", "conflict:99999999999", "conflict:-1", "take:front-wheel:x",
    "take:", "haldor-splitter-l2", "no-such", "../../etc/passwd", "<script>alert(1)</script>", "\x00",
    "\ud83d\ude00".encode("utf-16", "surrogatepass").decode("utf-16"), "Ω" * 5000, "a@b.example", "on",
    "' OR 1=1 --", "\r\nBcc: someone@x.example", "%s%n", "\u202e", "front-radar",
]  # fmt: skip


def a_post(rng: random.Random) -> dict[str, list[str]]:
    """Return some fields, each with a few values that belong elsewhere or nowhere."""
    names = rng.sample(NAMES, rng.randint(0, 12))
    return {name: rng.choices(VALUES, k=rng.randint(0, 3)) for name in names}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("seed", "cases"), [(20261126, 5), pytest.param(20261125, 50, marks=pytest.mark.long)]
)
def test_malformed_posts_are_answered(client, demo_catalogue, seed, cases):
    rng = random.Random(seed)
    client.raise_request_exception = True
    client.post("/begin/haldor-2/")
    token = Spec.objects.get().token
    for number in range(int(CASES or cases)):
        if Spec.objects.get(BUILD_LINK.q(token)).sent_at:
            client.post("/begin/haldor-2/")
            token = Spec.objects.order_by("-pk")[0].token
        headers = {"HX-Request": "true"} if rng.random() < 0.5 else {}
        answer = client.post(f"/build/{token}/", a_post(rng), headers=headers)
        assert answer.status_code in (200, 302, 303, 400, 404, 413, 422), (number, answer.status_code)
        assert client.get(f"/build/{token}/").status_code in (200, 302)
    assert all(revision.evaluation["price"] for revision in SpecRevision.objects.all())


@pytest.mark.django_db
@pytest.mark.parametrize("body", [b"", b"\xff\xfe\x00", b"{", b"a" * 3_000_000, b"=&=&==&%zz"])
@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "application/json", "text/plain"])
def test_malformed_bodies_are_answered(client, demo_catalogue, body, kind):
    client.post("/begin/haldor-2/")
    token = Spec.objects.get().token
    answer = client.post(f"/build/{token}/", body, content_type=kind)
    assert answer.status_code in (200, 302, 400, 413, 415, 422)


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/build/nobody/", "/share/nobody/", "/begin/no-such/", "/build/%00/"])
def test_unknown_addresses_are_not_found(client, demo_catalogue, address):
    answer = client.get(address) if "begin" not in address else client.post(address)
    assert answer.status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "status"),
    [("/workshop/order/%00/", 404), ("/job/%00/", 404), ("/?q=%00", 200)],
)
def test_null_characters_find_nothing(client, demo_catalogue, address, status):
    assert client.get(address).status_code == status
