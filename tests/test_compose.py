"""docker-compose.yml and the Dockerfile, without Docker: by the specification's schema, and by what they start."""

from __future__ import annotations

import gzip
import json
import re
import shlex
from importlib.resources import files

import jsonschema
import pytest
import yaml
from django.core.management import call_command

from garage.running import running_lock, serve
from garage.running.parts import asked, signs
from tests.rules.tree import ROOT

TEXT = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
IMAGE = (ROOT / "Dockerfile").read_text(encoding="utf-8")
GIVEN = {"SITE_URL": "https://garage.example.org", "SECRET_KEY": "k", "DATABASE_PASSWORD": "p"}
SCHEMA = files("check_jsonschema") / "builtin_schemas" / "vendor" / "compose-spec.json"
PARTS = {"web": "web", "worker": "worker-alone", "hearing": "hearing", "beat": "beat"}  # by service


def filled_in(text: str) -> str:
    """As Compose puts the variables in: the value, or the default after :-, or else a refusal."""

    def value(found: re.Match[str]) -> str:
        name, how, more = found.groups()
        assert name in GIVEN or how == ":-", f"{name} has to be given"
        return GIVEN.get(name, more or "")

    return re.sub(r"\$\{(\w+)(?:(:-|:\?)([^}]*))?\}", value, text)


@pytest.fixture(scope="module")
def told():
    return yaml.safe_load(filled_in(TEXT))


def test_it_is_by_the_specifications_own_schema(told):
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    by_it = jsonschema.validators.validator_for(schema)(schema)
    assert [trouble.message for trouble in by_it.iter_errors(told)] == []
    assert not by_it.is_valid({"services": {"web": {"comand": []}}})


def test_each_part_is_a_service_of_its_own_and_of_beat_and_web_there_is_one(told):
    ours = {name: service for name, service in told["services"].items() if service.get("build") == "."}
    assert {name: service["command"][1] for name, service in ours.items()} == PARTS
    started = [part for name in PARTS.values() for part in running_lock.PARTS[name]]
    assert sorted(started) == sorted(running_lock.EVERY)
    assert not any("deploy" in ours[name] or "scale" in ours[name] for name in ("web", "beat"))


@pytest.mark.parametrize("service", PARTS)
def test_the_supervisor_takes_each_services_exact_command_line(told, service, monkeypatch, tmp_path):
    entry = json.loads(re.search(r"^ENTRYPOINT (.+)$", IMAGE, re.MULTILINE).group(1))
    assert entry[:3] == ["python", "-m", "garage.running.serve"]
    monkeypatch.setattr(serve.machine, "check_port", lambda *_: None)
    monkeypatch.setattr(serve.running_lock, "hold", lambda *_, **__: None)
    monkeypatch.setenv("DATA", str(tmp_path))
    monkeypatch.setenv("SITE_URL", GIVEN["SITE_URL"])
    choices = serve._choices([*entry[3:], *told["services"][service]["command"]])
    assert choices.parts == running_lock.PARTS[PARTS[service]]
    assert (choices.data, choices.site_url, choices.port) == (tmp_path, GIVEN["SITE_URL"], 8000)


@pytest.mark.parametrize("service", PARTS)
def test_each_health_check_asks_the_part_of_its_service(told, service):
    test = told["services"][service]["healthcheck"]["test"]
    assert test == ["CMD", "python", "-m", asked.__name__, service]


@pytest.mark.parametrize(("part", "sign"), [("worker", signs.WORKER), ("hearing", "hearing"), ("beat", signs.BEAT)])
def test_a_part_works_while_its_sign_is_fresh(part, sign, tmp_path):
    environment = {"DATA": str(tmp_path)}
    assert asked.main([part], environment) == 1
    signs.give(tmp_path, sign)
    assert asked.main([part], environment) == 0


def test_the_web_server_works_while_it_says_that_it_is_ready(monkeypatch):
    said = {"status": 200}
    monkeypatch.setattr(asked, "status_of", lambda path, **_: said["status"] if path == "/readyz" else None)
    assert asked.main(["web"], {}) == 0
    for said["status"] in (503, None):
        assert asked.main(["web"], {}) == 1
    assert asked.main(["desk"], {}) == asked.main([], {}) == 2


def test_each_is_given_longer_to_stop_than_it_takes_for_itself(told):
    for service in PARTS:
        assert int(told["services"][service]["stop_grace_period"].removesuffix("s")) > 2 * serve.GRACE_S


def test_no_secret_stands_in_it_and_what_is_kept_lies_in_named_volumes(told):
    lines = [line for line in TEXT.splitlines() if not line.lstrip().startswith("#")]
    for name in ("SECRET_KEY", "PASSWORD"):
        for line in lines:
            if re.search(rf"{name}\w*:", line):
                assert re.search(rf"\$\{{\w*{name}", line), line
    for service in told["services"].values():
        for volume in service.get("volumes", []):
            assert volume.split(":")[0] in told["volumes"]


def test_the_variables_are_those_that_the_settings_read(told):
    read = set(re.findall(r'env\.\w+\(\s*"(\w+)"', (ROOT / "garage" / "settings.py").read_text(encoding="utf-8")))
    for service in PARTS:
        assert set(told["services"][service]["environment"]) <= read
    assert set(re.findall(r"^ENV (\w+)=", IMAGE, re.MULTILINE)) <= read


def test_the_image_has_the_programs_that_fit_the_database(told):
    server = re.fullmatch(r"postgres:(\d+)", told["services"]["postgres"]["image"]).group(1)
    assert f"postgresql-client-{server}" in shlex.split(IMAGE.replace("\\\n", " "), comments=True)


def test_what_the_image_collects_is_named_by_what_is_in_it_and_packed(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = settings.STORAGES | {
        "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"}
    }
    call_command(
        "collectstatic", interactive=False, verbosity=0, ignore_patterns=["django_htmx", "pictures", "drawings"]
    )
    names = json.loads((tmp_path / "staticfiles.json").read_text(encoding="utf-8"))["paths"]
    sheet = tmp_path / names["paper.css"]
    assert re.fullmatch(r"paper\.[0-9a-f]{12}\.css", sheet.name)
    assert gzip.decompress(sheet.with_suffix(".css.gz").read_bytes()) == sheet.read_bytes()
    assert (tmp_path / "paper.css").exists()  # pages of errors and papers name it so
