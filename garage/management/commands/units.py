"""Services of systemd for a garage on a computer of its own, from the settings in force."""

import getpass
import os
import sys
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from garage.core.computer.service_units import ENVIRONMENT, Place, Service, environment_file, service_units
from garage.core.errors import BadInput
from garage.running import running_lock, serve
from garage.running.machine import Unfit, port_number

UNITS = "/etc/systemd/system"


class Command(BaseCommand):
    requires_system_checks = ()
    help = (
        "Prints the units of four services (web server, worker, hearing worker, beat), or writes them with the file of "
        f"variables that they share ({ENVIRONMENT}, for its owner alone: it holds what is secret) into a folder."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--into", help="folder to write into, empty or with units of before; without it they are printed"
        )
        parser.add_argument("--user", default=getpass.getuser(), help="who the services run as")
        parser.add_argument("--host", default="127.0.0.1", help="address that the web server listens on")
        parser.add_argument("--port", default="8000", help="port that it listens on")
        parser.add_argument("--proxy", default=serve.HERE, help="addresses of the proxy in front of it")

    def handle(self, *args: object, into: str | None, user: str, host: str, port: str, proxy: str, **_: object) -> None:
        place = Place(
            code=str(settings.BASE_DIR),
            python=sys.executable,
            data=str(settings.DATA),
            backups=str(settings.BACKUPS),
            units=UNITS,
            user=user,
            site_url=settings.SITE_URL,
        )
        try:
            web = ("--host", host, "--port", str(port_number(port)), "--proxy", proxy, "--demo", "never")
            units = service_units(place, _services(web))
            variables = environment_file({"DATA": place.data, "SITE_URL": settings.SITE_URL, **settings.GIVEN})
        except (BadInput, Unfit) as error:
            raise CommandError(str(error)) from error
        if into is None:
            for name, text in units.items():
                self.stdout.write(f"# {name}\n{text}")
            return
        self._write(Path(into), units, variables)

    def _write(self, folder: Path, units: dict[str, str], variables: str) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for name, text in units.items():
                (folder / name).write_text(text, encoding="utf-8")
            secret = folder / ENVIRONMENT
            secret.unlink(missing_ok=True)  # one of before may be open to others
            with os.fdopen(os.open(secret, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
                file.write(variables)
        except OSError as error:
            raise CommandError(f"{error.filename or folder} cannot be written: {error.strerror}.") from error
        self.stdout.write(f"Written to {folder}: {', '.join([*units, ENVIRONMENT])}. As root, put them into force:")
        self.stdout.write(
            f"  install -m 644 {folder}/*.service {UNITS}/ && install -m 600 {folder}/{ENVIRONMENT} {UNITS}/"
        )
        self.stdout.write(f"  systemctl daemon-reload && systemctl enable --now {' '.join(units)}")


def _services(web: tuple[str, ...]) -> list[Service]:
    return [
        Service("tickover-web", running_lock.WEB, "web server", web),
        Service("tickover-worker", running_lock.WORKER_ALONE, "mails, papers and sweeps"),
        Service("tickover-hearing", running_lock.HEARING, "hears the clips"),
        Service("tickover-beat", running_lock.BEAT, "says when which work is due"),
    ]
