"""What the settings become by the variables of the environment."""

import json
import os
import subprocess
import sys

from tests.servers import ROOT


def settings_with(**variables: str) -> dict[str, object]:
    """The plain values, read in a program of its own."""
    said = "import json; from garage import settings; print(json.dumps(vars(settings), default=str))"
    environment = {name: value for name, value in os.environ.items() if name != "SITE_URL"} | variables
    done = subprocess.run([sys.executable, "-c", said], cwd=ROOT, env=environment, capture_output=True, check=True)
    return json.loads(done.stdout)


def test_https_is_promised_for_the_garages_own_name_and_no_other():
    """Other names below it may be somebody else's, and the browsers' own list keeps a name for years."""
    found = settings_with(SITE_URL="https://garage.example.org")
    assert found["SECURE_HSTS_SECONDS"] == 31_536_000
    assert found.get("SECURE_HSTS_INCLUDE_SUBDOMAINS", False) is False
    assert found.get("SECURE_HSTS_PRELOAD", False) is False
    assert found["REACHABLE_FROM_OUTSIDE"] is True
    assert [found[name][:7] for name in ("SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME")] == ["__Host-"] * 2


def test_without_https_nothing_is_promised():
    found = settings_with()
    assert "SECURE_HSTS_SECONDS" not in found
    assert "SESSION_COOKIE_NAME" not in found
    assert found["REACHABLE_FROM_OUTSIDE"] is False
