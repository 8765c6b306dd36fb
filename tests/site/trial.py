"""A whole site on a PostgreSQL cluster, a Redis and a mail server of its own, all of which may be taken down.

Nothing here touches what other people run: each process is started, and ended, by this module alone.
"""

from __future__ import annotations

import os
import shutil
import socketserver
import subprocess
import sys
import threading
import time
from collections import Counter
from contextlib import suppress
from pathlib import Path
from typing import Any

import psycopg
from django.conf import settings

from tests.site import serving

PG = Path("/usr/lib/postgresql/15/bin")
MAIL_HOST = "127.0.0.77"
"""Port 25 of an address of this machine that nobody else uses: plain SMTP as an own relay speaks it."""
KEY = "only-for-the-tests-of-a-clone-without-secrets"


class Cluster:
    """A PostgreSQL server of its own, run as its own user."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder / "pg", serving.free_port()
        self.folder.mkdir(mode=0o777)
        shutil.chown(self.folder, "postgres")
        self._as_postgres(f"{PG}/initdb -D {self.folder}/data -A trust -U trial --no-sync")
        self.start()

    @property
    def url(self) -> str:
        return f"postgres://trial@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        options = f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1"
        self._as_postgres(f"{PG}/pg_ctl -w -D {self.folder}/data -l {self.folder}/log -o '{options}' start")

    def stop(self) -> None:
        """Take it down as a power cut would."""
        self._as_postgres(f"{PG}/pg_ctl -w -D {self.folder}/data -m immediate stop")

    def ask(self, query: str) -> Any:
        """Return the first value of a query; of a server that is down, what went wrong."""
        with psycopg.connect(self.url, autocommit=True) as asked:
            found = asked.execute(query)
            row = found.fetchone() if found.description else None
            return row[0] if row else None

    @staticmethod
    def _as_postgres(command: str) -> None:
        out = subprocess.run(["su", "postgres", "-c", command], cwd="/", capture_output=True, timeout=120)
        assert out.returncode == 0, out.stdout.decode() + out.stderr.decode()


class Redis:
    """A Redis of its own that keeps nothing: what it forgets, the sweep hands over again."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, serving.free_port()
        self.start()

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        command = ["redis-server", "--port", str(self.port), "--bind", "127.0.0.1", "--save", ""]
        self.process = subprocess.Popen(
            [*command, "--dir", str(self.folder)], stdout=subprocess.DEVNULL, start_new_session=True
        )

    def stop(self) -> None:
        serving.kill(self.process)


class MailServer(socketserver.ThreadingTCPServer):
    """A mail server that takes mails (by Message-ID), or refuses them for now."""

    allow_reuse_address, daemon_threads = True, True

    def __init__(self) -> None:
        super().__init__((MAIL_HOST, 25), _Session)
        self.is_refusing, self.refused, self.taken = False, 0, Counter[tuple[str, str]]()
        threading.Thread(target=self.serve_forever, daemon=True).start()


class _Session(socketserver.StreamRequestHandler):
    server: MailServer

    def handle(self) -> None:
        """Speak as much of RFC 5321 as a sender needs."""
        with suppress(OSError):
            self._say("220 trial")
            to = ""
            while line := self.rfile.readline().decode().strip():
                verb = line[:4].upper()
                if verb == "MAIL" and self.server.is_refusing:
                    self.server.refused += 1
                    self._say("451 not now")
                elif verb == "RCPT":
                    to = line.partition("<")[2].partition(">")[0]
                    self._say("250 yes")
                elif verb == "DATA":
                    self._say("354 go on")
                    self.server.taken[(to, self._message_id())] += 1
                    self._say("250 taken")
                elif verb == "QUIT":
                    self._say("221 bye")
                    return
                else:
                    self._say("250 yes")

    def _message_id(self) -> str:
        found = ""
        while (line := self.rfile.readline().decode(errors="replace").rstrip("\r\n")) != ".":
            if line.lower().startswith("message-id:"):
                found = line.partition(":")[2].strip()
        return found

    def _say(self, words: str) -> None:
        self.wfile.write(f"{words}\r\n".encode())


class Site:
    """The web process, workers and the clock, started again whenever they are gone."""

    def __init__(self, folder: Path) -> None:
        self.cluster, self.redis, self.mail = Cluster(folder), Redis(folder), MailServer()
        self.port, self.data = serving.free_port(), folder / "data"
        self.data.mkdir()
        self.env = os.environ | {
            "DATABASE_URL": self.cluster.url, "REDIS_URL": self.redis.url, "KERBLINE_SECRET_KEY": KEY,
            "KERBLINE_DATA": str(self.data), "KERBLINE_LIMITS": "off", "KERBLINE_CONFIRM_ADDRESS": "0",
            "KERBLINE_SMTP_HOST": MAIL_HOST, "KERBLINE_SMTP_PORT": "25",
        }  # fmt: skip
        self.media = self.data / "media"
        self.media.mkdir()
        self.has_small_disk = not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=24m", "tmpfs", self.media], check=False
        ).returncode
        self.manage("migrate", "-v0")
        self.manage("load_catalogue", "fixtures/catalogue")
        self.web = serving.start_web(self.port, self.env)
        self.workers = [serving.start_worker(self.env) for _ in range(2)]
        self.beat = serving.start_beat(self.env)

    def manage(self, *words: str) -> str:
        """Run one of the site's commands."""
        command = [sys.executable, "manage.py", *words]
        out = subprocess.run(
            command, cwd=settings.BASE_DIR, env=self.env, capture_output=True, timeout=180, text=True
        )
        assert out.returncode == 0, out.stdout + out.stderr
        return out.stdout

    def kill_worker(self, which: int) -> None:
        serving.kill(self.workers[which])
        self.workers[which] = serving.start_worker(self.env)

    def kill_web(self, *, whole: bool) -> None:
        """Kill one of the web process's own processes, or all at once."""
        if whole:
            serving.kill(self.web)
            self.web = serving.start_web(self.port, self.env)
            return
        found = subprocess.run(
            ["pgrep", "-P", str(self.web.pid)], capture_output=True, text=True, check=False
        )
        for pid in found.stdout.split()[:1]:
            with suppress(ProcessLookupError):
                os.kill(int(pid), 9)

    def fill_disk(self) -> Path:
        """Leave no room where photos and papers lie."""
        filler = self.media / "filler"
        with suppress(OSError), filler.open("wb") as out:
            while True:
                out.write(b"0" * 65_536)
        return filler

    def later(self) -> None:
        """Let the time pass that tries are put off for, and have given up ones tried as staff would."""
        self.cluster.ask(
            "update configurator_outboxentry set next_attempt_at = now() where state = 'waiting'"
        )
        told = "from configurator.outbox import service as s; s.try_again(); s.sweep(5000)"
        self.manage("shell", "-c", told)

    def end(self) -> None:
        for process in (self.web, *self.workers, self.beat):
            serving.kill(process)
        self.redis.stop()
        self.mail.shutdown()
        self.mail.server_close()
        with suppress(AssertionError):
            self.cluster.stop()
        if self.has_small_disk:
            subprocess.run(["umount", "-l", self.media], check=False)


def wait(holds: Any, seconds: float, meanwhile: Any = None) -> bool:
    """Wait until something holds, asking again each second; ``meanwhile`` is done every ten."""
    begun = last = time.monotonic()
    while time.monotonic() - begun < seconds:
        if holds():
            return True
        if meanwhile and time.monotonic() - last > 10:
            meanwhile()
            last = time.monotonic()
        time.sleep(1)
    return bool(holds())
