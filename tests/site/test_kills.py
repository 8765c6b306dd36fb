"""Workers and web processes killed at random, all under them restarted: nothing is lost or doubled.

``KERBLINE_KILLS=100 python -m pytest -m services -n 0 -s tests/site/test_kills.py`` is the long form.
"""

from __future__ import annotations

import os
import random
import shutil
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from http.client import HTTPConnection, HTTPException
from pathlib import Path

import pytest

from tests.pages.conftest import CONTACT, SPACER, WHEEL
from tests.shop.tracking.conftest import jpeg
from tests.site import serving, trial

pytestmark = [
    pytest.mark.services,
    pytest.mark.skipif(
        os.getuid() != 0 or not trial.PG.exists() or not shutil.which("redis-server"),
        reason="needs root, PostgreSQL's and Redis's own programs",
    ),
]
KILLS = int(os.environ.get("KERBLINE_KILLS", "20"))
SEED = int(os.environ.get("KERBLINE_KILLS_SEED", "14"))
BETWEEN_S = (0.5, 3.0)
CHOICES = {
    "catalogue_version": "1", "terms_version": "2026-1", "privacy_version": "2026-1",
    "body_finish": "tarnside-green", "wheel": WHEEL, "tyre": "haul-225-50r18c-108-106t",
    "spacer": SPACER, "accent": "ember-orange",
    "accent_wanted": "#2f6f8f", "f-front-bumper": "standard-bumper", "f-calipers": ["calipers-front"],
}  # fmt: skip


@pytest.fixture
def site() -> Iterator[trial.Site]:
    # Not below pytest's own folder: the database's user may not enter that.
    folder = Path(tempfile.mkdtemp(prefix="kills-"))
    folder.chmod(0o755)
    made = trial.Site(folder)
    try:
        yield made
    finally:
        made.end()
        shutil.rmtree(folder, ignore_errors=True)


class Crowd:
    """Customers who build, add a photo and send; who gets no answer presses again."""

    def __init__(self, port: int) -> None:
        self.port, self.over = port, threading.Event()
        self.sent: dict[str, str] = {}
        self.photos: list[str] = []
        self.pressed_again = 0
        self.threads = [threading.Thread(target=self._customers, args=[n], daemon=True) for n in range(3)]
        for thread in self.threads:
            thread.start()

    def end(self) -> None:
        """Let those who have begun finish."""
        self.over.set()
        for thread in self.threads:
            thread.join(timeout=240)
        assert not any(thread.is_alive() for thread in self.threads), "a customer never got an answer"

    def _customers(self, who: int) -> None:
        number = 0
        while not self.over.is_set():
            number += 1
            self._one(f"ida{who}x{number}@customer.example")

    def _one(self, email: str) -> None:
        address = self._until_answered("/begin/haldor-2/", {})
        form = {**CHOICES, **CONTACT, "email": email}
        self._until_answered(address, form)
        with suppress(OSError, HTTPException):
            if self._upload(address) == 200:
                self.photos.append(address)
        answer = self._until_answered(address, {**form, "do": "send"})
        # Whose first answer was lost with the process, and keeps no session, is told that it has been sent.
        assert answer.startswith("/") or "This build has been sent" in answer, answer[:300]
        self.sent[email] = answer if answer.startswith("/") else ""

    def _until_answered(self, path: str, fields: dict[str, object]) -> str:
        deadline = time.monotonic() + 200
        while time.monotonic() < deadline:
            with suppress(OSError, HTTPException):
                status, leads_to = serving.post(self.port, path, fields)
                if status in (200, 302):
                    return leads_to
                assert status >= 500, f"{status}: {leads_to[:300]}"
            self.pressed_again += 1
            time.sleep(0.5)
        raise AssertionError(f"no answer to {path}")

    def _upload(self, address: str) -> int:
        edge = "----trial"
        head = f'--{edge}\r\nContent-Disposition: form-data; name="photos"; filename="side.jpg"\r\n'
        body = f"{head}Content-Type: image/jpeg\r\n\r\n".encode() + jpeg().read()
        asked = HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = serving.FORM | {
            "Content-Type": f"multipart/form-data; boundary={edge}", "X-Kerbline": "photo",
        }  # fmt: skip
        asked.request("POST", f"{address}photos/", body + f"\r\n--{edge}--\r\n".encode(), headers)
        return asked.getresponse().status


def test_every_promise_is_kept_once_whatever_is_killed(site: trial.Site) -> None:
    chance = random.Random(SEED)
    crowd, waited = Crowd(site.port), 0
    for number in range(KILLS):
        time.sleep(chance.uniform(*BETWEEN_S))
        _take_down(site, chance, number)
        if number == KILLS // 2:
            waited = _mail_refused_and_disk_full(site)
    crowd.end()
    settled = trial.wait(lambda: _waiting(site) == 0, 900, site.later)
    twice = sum(times - 1 for times in site.mail.taken.values())
    print(
        f"\n{KILLS} kills, {len(crowd.sent)} sent, {crowd.pressed_again} pressed again, "
        f"{len(crowd.photos)} photos, {site.mail.refused} mails refused, {twice} sent twice under one id, "
        f"{waited} promises shown as waiting"
    )
    assert settled, site.cluster.ask("select string_agg(kind || ' ' || last_error, '; ') from "
                                     "configurator_outboxentry where state <> 'done'")  # fmt: skip
    _jobs_are_whole(site, crowd)
    _mails_came_once(site, crowd)
    ready = site.cluster.ask("select count(*) from configurator_photo where state = 'ready' and raw = ''")
    assert ready == site.cluster.ask("select count(*) from configurator_photo") >= len(crowd.photos)
    assert waited > 0


def _take_down(site: trial.Site, chance: random.Random, number: int) -> None:
    """Kill a worker, a web process or all of them; now and then what they stand on."""
    if number % 9 == 4:
        site.cluster.stop()
        site.cluster.start()
    elif number % 9 == 7:
        site.redis.stop()
        time.sleep(1)
        site.redis.start()
    kind = chance.choice(("worker", "worker", "web", "web", "whole"))
    if kind == "worker":
        site.kill_worker(chance.randrange(2))
    else:
        site.kill_web(whole=kind == "whole")


def _mail_refused_and_disk_full(site: trial.Site) -> int:
    """Let work fail for a while; return how many promises the page of what is stuck shows meanwhile."""
    site.mail.is_refusing = True
    filler = site.fill_disk() if site.has_small_disk else None
    assert trial.wait(lambda: site.mail.refused > 0, 60)
    told = (
        "from django.conf import settings as s; s.SECOND_FACTOR_FOR = []; s.ALLOWED_HOSTS = ['*'];"
        "from django.contrib.auth.models import User, Group; from django.test import Client;"
        "u, _ = User.objects.get_or_create(username='anke');"
        "u.groups.add(Group.objects.get_or_create(name='manager')[0]);"
        "c = Client(); c.force_login(u); page = c.get('/workshop/stuck/');"
        "print(page.status_code, page.content.decode().count('/again/'))"
    )
    status, count = ("200", 0)
    if trial.wait(lambda: bool(_tried(site)), 30):
        # Ten minutes later it is called stuck: nobody waits for them here.
        site.cluster.ask(
            "update configurator_outboxentry set made_at = made_at - interval '11 minutes' "
            "where state = 'waiting'"
        )
        status, found = site.manage("shell", "-c", told).split()[-2:]
        count = int(found)
    assert status == "200"
    site.mail.is_refusing = False
    if filler:
        filler.unlink(missing_ok=True)
    return count


def _tried(site: trial.Site) -> int:
    query = "select count(*) from configurator_outboxentry where state = 'waiting' and last_error <> ''"
    return int(site.cluster.ask(query))


def _waiting(site: trial.Site) -> int:
    return int(site.cluster.ask("select count(*) from configurator_outboxentry where state <> 'done'"))


def _jobs_are_whole(site: trial.Site, crowd: Crowd) -> None:
    count = len(crowd.sent)
    addresses = [address for address in crowd.sent.values() if address]
    assert len(set(addresses)) == len(addresses) > 0
    for address in addresses:
        status, page = serving.get(site.port, address)
        assert (status, "K-" in page) == (200, True), address
    ask = site.cluster.ask
    assert ask("select count(*) from configurator_spec where sent_at is not null") == count
    assert ask("select count(*) from shop_job") == count
    assert ask("select count(distinct number) from shop_job") == count
    assert ask("select last from shop_numberseries where series = 'K'") == count, "a number was lost"
    for table in ("joboperation", "jobpart"):
        most = f"select count(distinct n) from (select count(*) n from shop_{table} group by job_id) t"
        assert ask(most) == 1, f"one job has other rows of {table} than another"
        assert ask(f"select count(distinct job_id) from shop_{table}") == count
    assert ask("select count(*) from shop_depositrequest") == count
    assert ask("select count(*) from shop_historyentry where action = 'job.opened'") == count
    assert ask("select count(*) from shop_customerjob") == count


def _mails_came_once(site: trial.Site, crowd: Crowd) -> None:
    for email in crowd.sent:
        came = [key for key in site.mail.taken if key[0] == email]
        assert len(came) == 1, f"{email}: {len(came)} different mails"
    query = "select count(*) from shop_outgoingmail where kind = 'confirmation' and state = 'sent'"
    assert site.cluster.ask(query) == len(crowd.sent)
