"""What an owner's check sheet leaves behind is English, whatever language the owner reads it in.

The owner's German is garbled, so that one word of it in a row or on the boss's page stands out.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils.translation import trans_real

from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.tasks import hear_clips
from diagnostics.reads.judgement import latest
from garage.core import routes
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.reads import links
from tests import garbled
from tests.browser import rev_out
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, PINKING

pytestmark = pytest.mark.django_db
OUTCOMES = {
    routes.ROLLER_READY: HEALTHY,
    routes.FIX_FIRST: FALSE_CEILING,
    routes.DO_NOT_RUN: PINKING,
    routes.PHONE_FIRST: dict.fromkeys(HEALTHY, "unsure"),
}
ASKED_OR_NOT = pytest.mark.parametrize("alone", [True, False], ids=["acts alone", "the boss is asked"])


@pytest.fixture(autouse=True)
def garbled_german(monkeypatch):
    monkeypatch.setitem(trans_real._translations, garbled.LANGUAGE, garbled.Garbled())


@pytest.fixture
def token(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    garage.shop()
    owner = garage.owner(language=garbled.LANGUAGE)
    return links.token(garage.visit(machine=garage.machine(owner=owner, kind=garage.machine_kind())), links.SHEET)


@ASKED_OR_NOT
@pytest.mark.parametrize("route", OUTCOMES)
def test_rows_and_findings_page_of_a_german_owner_s_sheet_are_english(client, token, route, alone):
    visit = _visit()
    _let_act(alone)
    _fills_in(client, token, OUTCOMES[route])
    assert _is_garbled(client.get(reverse("sheet", args=[token])).text)
    client.post(reverse("sheet-send", args=[token]))
    assert _is_garbled(client.get(reverse("sheet-outcome", args=[token])).text)
    assert latest(visit).route == route
    client.force_login(garage.boss())
    page = client.get(reverse("findings", args=[visit.number])).text
    assert "What made you book?" in page
    assert not _is_garbled(page)
    assert [text for text in _kept() if _is_garbled(text)] == []


def test_a_tick_an_answer_changed_and_one_found_earlier_are_english_in_the_trail(client, token):
    visit = _visit()
    _fills_in(client, token, FALSE_CEILING)
    _answers(client, token, "trouble", "runs-hot")
    client.post(reverse("sheet-question", args=[token, "rev_out"]), {"tick": ["leaks_petrol"], "answer": ""})
    _answers(client, token, "strobe_idle", "17,5", earlier="yes")
    _answers(client, token, "strobe_idle", "many")
    said = "\n".join(TrailRow.objects.filter(visit=visit).values_list("did", flat=True))
    assert "it leaks petrol" in said
    assert "It misfires" in said
    assert "must not run: It leaks petrol." in said
    assert [text for text in _kept() if _is_garbled(text)] == []


def test_a_german_owner_s_clip_is_heard_and_kept_in_english(client, token):
    visit = _visit()
    _fills_in(client, token, HEALTHY)
    clip = SimpleUploadedFile("clip.m4a", rev_out.clip("healthy"), "audio/mp4")
    address = reverse("sheet-clip", args=[token])
    client.post(address, {"clip": clip})
    client.post(address, {"clip": SimpleUploadedFile("clip.txt", b"no sound at all", "text/plain")})
    hear_clips()
    assert Clip.objects.filter(visit=visit).count() == 2
    page = client.get(address).text
    assert _is_garbled(page)
    assert "This clip" not in page
    client.force_login(garage.boss())
    assert not _is_garbled(client.get(reverse("findings", args=[visit.number])).text)
    assert [text for text in _kept() if _is_garbled(text)] == []


def _visit():
    return apps.get_model("garage", "Visit").objects.get()


def _let_act(alone: bool) -> None:
    acts = {"fix_first_acts_alone": alone, "phone_first_acts_alone": alone, "do_not_run_acts_alone": alone}
    apps.get_model("garage", "Shop").objects.update(**acts)


def _fills_in(client, token: str, answers: dict) -> None:
    for question, answer in answers.items():
        _answers(client, token, question, answer)


def _answers(client, token: str, question: str, answer: object, **more: str) -> None:
    client.post(reverse("sheet-question", args=[token, question]), {"answer": answer} | more)


def _is_garbled(text: str) -> bool:
    return "ø" in text.lower()


def _kept() -> Iterator[str]:
    """Each text in each row, but for the mails, which are their reader's."""
    for model in (model for app in garbled.OUR_APPS for model in apps.get_app_config(app).get_models()):
        if model is not Message:
            for row in model._default_manager.values():
                yield from (str(value) for value in row.values())
