"""Everything that the garage keeps, in one file, without what lets somebody in."""

import io
import json
import re
from zipfile import ZipFile

import pytest
from django.apps import apps
from django.utils import timezone

from garage.models.messages import Message
from garage.models.second_factor import SecondFactor
from garage.models.trail import TrailRow
from garage.pages import everything
from garage.pages.everything import LEFT_OUT, count_everything, tables, write_everything
from garage.pages.exported import NOT_GIVEN, fields_of
from garage.reads import links
from tests.factories import garage as make
from tests.factories.everything import fill

pytestmark = pytest.mark.django_db
SECRET = re.compile(r"password|secret|token|seed|session|hashed|generation|browser|(^|_)code|(^|_)key")
NO_SECRET = {"calling_code", "key_left", "session", "sent_form", "key"}  # a car's, a telephone's; a form sent once


@pytest.fixture
def visit(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    make.shop()
    return make.visit()


def written(progress=lambda done: None):
    out = io.BytesIO()
    with ZipFile(out, "w") as archive:
        write_everything(archive, shop_name="Quarry Lane", now=timezone.now(), progress=progress)
    return ZipFile(out)


def rows_of(archive, model):
    return json.loads(archive.read(f"data/{model._meta.label_lower}.json"))


def test_every_table_is_in_it_with_every_row_and_every_field_or_is_named_as_left_out(visit):
    fill(visit, "said of it", by=make.boss())
    archive = written()
    for model in apps.get_models(include_auto_created=True):
        if model._meta.label in LEFT_OUT:
            assert f"data/{model._meta.label_lower}.json" not in archive.namelist()
            continue
        rows = rows_of(archive, model)
        assert [row["id"] for row in rows] == list(model._base_manager.order_by("pk").values_list("pk", flat=True))
        given = {field.name for field in model._meta.concrete_fields} - NOT_GIVEN
        assert all(set(row) == given for row in rows), model
    assert {apps.get_model(label)._meta.label for label in LEFT_OUT} == LEFT_OUT


def test_its_read_me_names_every_table_and_field(visit):
    words = written().read("read-me.txt").decode()
    assert "Quarry Lane" in words
    for model in tables():
        line = next(line for line in words.splitlines() if line.startswith(f"{model._meta.label_lower} ("))
        assert all(field.name in line for field in fields_of(model))


def test_photos_clips_papers_and_run_files_are_in_it_as_they_came(visit):
    fill(visit, "said of it", by=make.boss())
    archive = written()
    for label, name in [("garage.photo", "file"), ("hearing.clip", "file"), ("jobs.paper", "file")]:
        row = rows_of(archive, apps.get_model(label))[0]
        assert archive.read(row[name]) == b"file of said of it"
    run_file = rows_of(archive, apps.get_model("jobs.RunFile"))[0]
    assert archive.read(run_file["packed"]) == b"file of said of it"


def test_nothing_in_it_lets_anybody_in(visit, client):
    boss = make.boss()
    client.force_login(boss)
    SecondFactor.objects.create(person=boss, seed="5eed" * 8, key_mark="mark", since=timezone.now(), last_step=1)
    token = links.token(visit, links.VISIT)
    mail = fill(visit, "said of it", by=boss)[Message]
    said = {
        "text": f"Look at https://garage.example/visit/{token}/ and ring us.",
        "html": f'<a href="/visit/{token}/">',
    }
    Message.objects.filter(pk=mail.pk).update(**said)
    archive = written()
    every = b"".join(archive.read(name) for name in archive.namelist()).decode()
    for secret in (boss.password, "5eed5eed", client.session.session_key, token, token.split(".")[1]):
        assert secret not in every
    assert "and ring us." in rows_of(archive, Message)[0]["text"]


def test_a_field_called_like_a_secret_is_looked_at_before_it_is_handed_out():
    given = {field.name for model in tables() for field in fields_of(model)}
    assert {name for name in given if SECRET.search(name)} <= NO_SECRET


def test_what_names_a_record_is_written_before_it_so_that_nothing_newer_is_missing():
    place = {model: number for number, model in enumerate(tables())}
    for model in place:
        for field in model._meta.concrete_fields:
            other = field.related_model
            assert other in (None, model) or other not in place or place[model] < place[other], field


def test_rows_are_read_by_the_handful_and_told_as_they_are_written(visit, monkeypatch):
    monkeypatch.setattr(everything, "AT_ONCE", 2)
    for number in range(5):
        TrailRow(at=timezone.now(), by_words="us", about="the shop", did=f"did {number}").save()
    told = []
    archive = written(told.append)
    assert [row["did"] for row in rows_of(archive, TrailRow)][-5:] == [f"did {number}" for number in range(5)]
    assert told == sorted(told)
    assert told[-1] == count_everything()
    assert max(after - before for before, after in zip([0, *told], told, strict=False)) == 2
