"""An address that only takes posts leads a person to what it belongs to, and no machine."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

PERSON = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}


@pytest.mark.parametrize(
    ("path", "page"),
    [
        ("/job/no-such/write/", "/job/no-such/"),
        ("/job/no-such/change/3/", "/job/no-such/"),
        ("/job/no-such/photos/one/remove/", "/job/no-such/photos/"),
        ("/build/no-such/photos/", "/build/no-such/"),
        ("/share/no-such/begin/", "/share/no-such/"),
        ("/begin/haldor-2/", "/"),
        ("/preferences/", "/"),
        ("/forget-device/", "/"),
    ],
)
def test_a_person_comes_to_the_page_above(client: Client, demo_catalogue: Any, path: str, page: str) -> None:
    answer = client.get(path, headers=PERSON)
    assert (answer.status_code, answer.headers["Location"]) == (302, page)
    assert client.get(path).status_code == 405
    assert client.put(path, headers=PERSON).status_code == 405


@pytest.mark.long
def test_the_language_changes_on_a_refused_form_too(client: Client, demo_catalogue: Any) -> None:
    """The form's page stands under the address that it was posted to, and so does where to go back to."""
    begun = client.post("/begin/haldor-2/").headers["Location"]
    refused = client.post(f"{begun}photos/")
    assert refused.status_code == 422
    chosen = client.post("/i18n/setlang/", {"language": "de", "next": f"{begun}photos/"}, headers=PERSON)
    page = client.get(chosen.headers["Location"], headers=PERSON, follow=True)
    assert page.status_code == 200
    assert 'lang="de"' in page.content.decode()
