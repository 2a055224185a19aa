"""The four services as text; that systemd takes them is asked in tests/garage/management/commands/test_units.py."""

import subprocess
from dataclasses import replace

import pytest

from garage.core.computer.service_units import STOP_S, Place, Service, environment_file, service_units
from garage.core.errors import BadInput
from garage.running import serve

PLACE = Place(
    code="/srv/tickover",
    python="/srv/tickover/.venv/bin/python",
    data="/srv/kept",
    backups="/mnt/disk/backups",
    units="/etc/systemd/system",
    user="tickover",
    site_url="https://garage.example.org",
)
SERVICES = [Service("tickover-web", "web", "web server", ("--port", "8000")), Service("tickover-beat", "beat", "beat")]


def lines_of(units, name):
    return dict(line.split("=", 1) for line in units[name].splitlines() if "=" in line)


def test_each_service_starts_its_part_of_one_garage():
    units = service_units(PLACE, SERVICES)
    assert list(units) == ["tickover-web.service", "tickover-beat.service"]
    web = lines_of(units, "tickover-web.service")
    assert web["ExecStart"] == (
        "/srv/tickover/.venv/bin/python -m garage.running.serve --part web --data /srv/kept "
        "--site-url https://garage.example.org --port 8000"
    )
    assert (web["User"], web["WorkingDirectory"]) == ("tickover", "/srv/tickover")
    assert web["EnvironmentFile"] == "/etc/systemd/system/tickover.env"
    assert web["ReadWritePaths"] == "-/srv/kept -/mnt/disk/backups"


def test_what_works_unseen_starts_once_the_database_is_up_to_date():
    units = service_units(PLACE, SERVICES)
    beat, web = lines_of(units, "tickover-beat.service"), lines_of(units, "tickover-web.service")
    assert "tickover-web.service" in beat["After"]
    assert "tickover-web.service" in beat["Wants"]
    assert web["Type"] == beat["Type"] == "notify"  # ready once a page has answered, and not before
    assert "tickover" not in web["After"]


def test_a_stop_waits_longer_than_the_garage_itself():
    assert STOP_S > serve.GRACE_S + 5 + 10
    unit = lines_of(service_units(PLACE, SERVICES), "tickover-web.service")
    assert unit["TimeoutStopSec"] == str(STOP_S)
    assert unit["KillMode"] == "mixed"  # the supervisor is asked, and asks its own


@pytest.mark.parametrize(
    "changed",
    [
        {"data": "/srv/my garage"},
        {"code": "/srv/100%"},
        {"python": "python3"},
        {"backups": "/a\nExecStart=/bin/sh"},
        {"user": "root\nExecStart=/bin/sh"},
        {"user": ""},
        {"site_url": "https://garage.example.org --demo first"},
    ],
)
def test_what_a_unit_would_read_otherwise_is_refused(changed):
    with pytest.raises(BadInput, match="allowed is"):
        service_units(replace(PLACE, **changed), SERVICES)


def test_variables_are_read_back_as_they_are(tmp_path):
    """By a shell, which takes off the same signs as systemd does here."""
    given = {"SECRET_KEY": "a \"b\" $c `d` \\e 'f' #g", "EMAIL_URL": "smtp://a:b@mail.example.org:587"}
    file = tmp_path / "variables"
    file.write_text(environment_file(given))
    for name, value in given.items():
        asked = ["/bin/sh", "-c", f'. "{file}"; printf %s "${name}"']
        assert subprocess.run(asked, capture_output=True, text=True, check=True).stdout == value


def test_a_variable_with_a_line_break_is_refused_without_showing_it():
    with pytest.raises(BadInput) as refused:
        environment_file({"SECRET_KEY": "hush\nUser=root"})
    assert "hush" not in str(refused.value)
