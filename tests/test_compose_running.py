"""The command lines of docker-compose.yml as they stand there, on PostgreSQL and Redis of the tests: a job for each."""

from __future__ import annotations

import contextlib
import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml

from garage.running.parts.answering import status_of
from garage.running.serve import die_with_parent
from tests.garage.test_worker import CLIPS, SEND_A_CLIP, WAKE, WRITE
from tests.postbox import Postbox, postbox
from tests.postgresql import new_postgresql_database
from tests.processes import descendants, end, free_port, still_running
from tests.servers import ROOT, Garage
from tests.test_compose import IMAGE, TEXT, filled_in

pytestmark = pytest.mark.long(minutes=1)

ENTRYPOINT = json.loads(re.search(r"^ENTRYPOINT (.+)$", IMAGE, re.MULTILINE).group(1))
WAIT_LIMIT_S = 90.0  # s; only so that a test that fails ends
SITE, IMAGES_PORT, IMAGES_HOST = "https://garage.example.org", "8000", "0.0.0.0"  # noqa: S104  # it is read, not listened on


@dataclass
class Services:
    """told: docker-compose.yml. stands_for: what stands there, and what there is of it here."""

    told: dict
    stands_for: dict[str, str]
    garage: Garage
    box: Postbox
    said: Path

    def command(self, service: str) -> list[str]:
        """The entry point of the image and the service's own words; only its port is one that is free here."""
        python, *words = [*ENTRYPOINT, *self.told["services"][service]["command"]]
        here = {"python": sys.executable, IMAGES_PORT: self.stands_for[IMAGES_PORT], IMAGES_HOST: "127.0.0.1"}
        return [here[python], *(here.get(word, word) for word in words)]

    def environment(self, service: str) -> dict[str, str]:
        """Nothing of the tests' own but what finds programs."""
        given = self.told["services"][service]["environment"]
        kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
        set_there = {"EMAIL_URL": self.box.url}  # empty as it stands: no mail server
        return kept | {name: self.stands_for.get(value, str(value or "")) for name, value in given.items()} | set_there

    def start(self, service: str) -> subprocess.Popen[bytes]:
        with (self.said / service).open("wb") as said:
            return subprocess.Popen(
                self.command(service), cwd=ROOT, env=self.environment(service), stdout=said, stderr=subprocess.STDOUT,
                preexec_fn=die_with_parent,
            )  # fmt: skip

    def wait_for(self, is_so: Callable[[], bool]) -> None:
        until_s = time.monotonic() + WAIT_LIMIT_S
        while not is_so():
            assert time.monotonic() < until_s, "\n".join(path.read_text() for path in self.said.iterdir())
            time.sleep(0.1)

    def is_ready(self) -> bool:
        port, site_url = int(self.stands_for[IMAGES_PORT]), self.stands_for[SITE]
        return status_of("/readyz", host="127.0.0.1", port=port, site_url=site_url) == 200


@pytest.fixture
def services(postgresql_address: str, redis_address: str, tmp_path: Path) -> Iterator[Services]:
    told, port = yaml.safe_load(filled_in(TEXT)), str(free_port())
    data, said = tmp_path / "kept", tmp_path / "said"
    data.mkdir()
    said.mkdir()
    database = new_postgresql_database(postgresql_address)
    with postbox() as box:
        stands_for = {
            IMAGES_PORT: port,
            SITE: f"http://127.0.0.1:{port}",
            "/kept": str(data),
            "postgres://tickover:p@postgres:5432/tickover": database,
            "redis://redis:6379/0": redis_address,
        }
        services = Services(told, stands_for, Garage(data, {}, database), box, said)
        services.garage.warm.environment = services.environment("worker")
        yield services
        services.garage.warm.stop()


def test_each_service_does_its_job_by_its_own_command_line_and_stops_in_time(services):
    with contextlib.ExitStack() as started:
        running: dict[str, subprocess.Popen[bytes]] = {}

        def start(service: str) -> None:
            running[service] = services.start(service)
            started.callback(end, running[service], signal.SIGTERM)

        start("web")
        services.wait_for(services.is_ready)  # a new database: it was made by this service
        start("worker")
        services.garage.shell(WRITE.format(subject="By a wake", then=WAKE))
        services.wait_for(lambda: _went_out(services, "By a wake"))
        start("hearing")
        services.garage.shell(SEND_A_CLIP)
        heard = [("rev-out.webm", "heard"), ("words.m4a", "not-heard")]
        services.wait_for(lambda: services.garage.rows(CLIPS) == heard)
        services.garage.shell(WRITE.format(subject="By the sweep", then=""))
        time.sleep(1)
        assert not _went_out(services, "By the sweep")  # nobody was told of it
        start("beat")
        services.wait_for(lambda: _went_out(services, "By the sweep"))
        for service, child in reversed(running.items()):
            _stops_in_time(services, service, child)


def _went_out(services: Services, subject: str) -> bool:
    return [mail["Subject"] for mail in services.box.mails].count(subject) == 1


def _stops_in_time(services: Services, service: str, child: subprocess.Popen[bytes]) -> None:
    below = descendants(child.pid)
    assert below
    grace_s = float(services.told["services"][service]["stop_grace_period"].removesuffix("s"))
    child.send_signal(signal.SIGTERM)
    assert child.wait(grace_s) == 0, (services.said / service).read_text()
    assert not still_running(below)
    assert "Traceback" not in (services.said / service).read_text()
