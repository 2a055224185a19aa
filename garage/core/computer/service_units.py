"""A garage as four services of systemd: web server, worker, the worker that hears clips, and beat.

They share one file of variables, which alone may hold secrets (systemd.exec(5), systemd.service(5)).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from garage.core.errors import BadInput

STOP_S = 45  # s that systemd waits: the supervisor's own 10 and the web server's 5 are over long before
START_S = 600  # s for the web server: an update of the database copies it first
PLAIN_PATH = re.compile(r"/[\w./+@-]*", re.ASCII)  # what a unit takes as it is
ENVIRONMENT = "tickover.env"


@dataclass(frozen=True)
class Place:
    """Absolute paths. data, backups: what the services write to. units: where the unit files and theirs will lie."""

    code: str
    python: str
    data: str
    backups: str
    units: str
    user: str
    site_url: str


@dataclass(frozen=True)
class Service:
    """part: as the supervisor knows it. options: more words for it."""

    name: str
    part: str
    what: str
    options: Sequence[str] = ()


def service_units(place: Place, services: Sequence[Service]) -> dict[str, str]:
    """The unit files by name. The first service prepares the database; the others start once it is ready.

    Raises BadInput for a path with a character that a unit would read otherwise.
    """
    for path in (place.code, place.python, place.data, place.backups, place.units):
        if not PLAIN_PATH.fullmatch(path):
            raise BadInput("The path", path, "letters without accents, digits and . _ - + @ / in a folder for services")
    if not re.fullmatch(r"https?://[\w.:%/\[\]-]+", place.site_url, re.ASCII):
        raise BadInput("SITE_URL", place.site_url, "an address such as https://garage.example.org")
    if not re.fullmatch(r"[a-z_][\w-]*", place.user, re.ASCII):
        raise BadInput("The user", place.user, "the name of a user of this computer")
    first, *others = services
    return {f"{first.name}.service": _unit(place, first, None)} | {
        f"{each.name}.service": _unit(place, each, first.name) for each in others
    }


def _unit(place: Place, service: Service, first: str | None) -> str:
    after = f" {first}.service" if first else ""
    command = (place.python, "-m", "garage.running.serve", "--part", service.part, "--data", place.data)
    address = ("--site-url", place.site_url.replace("%", "%%"))
    written = " ".join(f"-{path}" for path in dict.fromkeys((place.data, place.backups)))  # one that is there
    return f"""\
# Made by manage.py units; make it again when the settings change.
[Unit]
Description=Tickover: {service.what}
After=network-online.target postgresql.service redis-server.service{after}
Wants=network-online.target{after}

[Service]
Type=notify
NotifyAccess=main
User={place.user}
WorkingDirectory={place.code}
EnvironmentFile={place.units.rstrip("/")}/{ENVIRONMENT}
Environment=PYTHONDONTWRITEBYTECODE=1 XDG_CACHE_HOME={place.data}/cache
ExecStart={" ".join((*command, *address, *service.options))}
Restart=always
RestartSec=5
TimeoutStartSec={START_S}
KillMode=mixed
TimeoutStopSec={STOP_S}
ReadWritePaths={written}
{HARDENING}
[Install]
WantedBy=multi-user.target
"""


HARDENING = """\
ProtectSystem=strict
ProtectHome=read-only
PrivateTmp=yes
PrivateDevices=yes
ProtectKernelTunables=yes
ProtectKernelModules=yes
ProtectKernelLogs=yes
ProtectControlGroups=yes
ProtectClock=yes
ProtectHostname=yes
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
LockPersonality=yes
NoNewPrivileges=yes
CapabilityBoundingSet=
SystemCallArchitectures=native
SystemCallFilter=@system-service
UMask=0077
"""


def environment_file(variables: Mapping[str, str]) -> str:
    """For EnvironmentFile=. Raises BadInput for a value with a line break, which such a file cannot say.

    >>> environment_file({"SITE_URL": "https://garage.example.org", "KEY": 'a"b$c'})
    'SITE_URL="https://garage.example.org"\\nKEY="a\\\\"b\\\\$c"\\n'
    """
    for name, value in variables.items():
        if not value.isprintable():
            raise BadInput(name, "a text with a line break or a sign that cannot be printed", "a text on one line")
    return "".join(f'{name}="{_quoted(value)}"\n' for name, value in variables.items())


def _quoted(value: str) -> str:
    return re.sub(r'(["\\$`])', r"\\\1", value)
