"""No sentence that an owner reads is left in English: every page, mail and paper, read in garbled German."""

from __future__ import annotations

import pytest
from django.db.models.signals import pre_save
from django.template.loader import render_to_string
from django.test import Client
from django.utils import timezone
from django.utils.translation import trans_real

from garage.core.text.languages import ENGLISH, GERMAN, ITALIAN, LANGUAGES
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.output import typesetting
from garage.output.speaking import speaking
from garage.reads.shop import the_shop
from jobs.demo import garage, visits
from tests import garbled
from tests.browser import addresses as places
from tests.browser.any_hour import forenoon_zone
from tests.browser.conftest import Started
from tests.browser.test_queries import clients_of
from tests.browser.watch import axe_troubles, scrolls_sideways

CHOSEN_ON = ("front", "book-time", "privacy", "owner-visit", "owner-choose", "owner-estimate", "owner-standby")
FOR_THE_WORKSHOP = {"log-in", "wall-by-link"}
PAPERS = ("owner-report-pdf", "owner-invoice", "owner-estimate-pdf", "owner-credit-note", "owner-statement-pdf")
# Where a sentence is still English. It only ever gets shorter: a name that is through must leave it.
NOT_YET: set[str] = {
    "owner-visit",
    "owner-report",
    "owner-report-pdf",
    "owner-invoice",
    "owner-estimate-pdf",
    "owner-credit-note",
    "owner-statement-pdf",
    "mail visit_booked",
    "mail time_offered",
    "mail estimate_issued",
    "mail may_we_do_more",
    "mail did_not_come",
    "mail deposit_came",
    "mail booking_to_confirm",
    "mail to_fix_at_home",
    "mail sheet_outcome_fix_first",
    "mail sheet_outcome_do_not_run",
    "mail sheet_outcome_phone_first",
    "mail ready_to_collect",
    "mail sheet_outcome_ready",
}


@pytest.mark.django_db
def test_no_sentence_that_an_owner_reads_is_left_in_english(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(trans_real._translations, garbled.LANGUAGE, garbled.Garbled())
    monkeypatch.setattr(typesetting, "typeset", str.encode)
    monkeypatch.setattr(typesetting, "typeset_to_keep", lambda html, _inside: html.encode())
    pre_save.connect(_reads_german, sender=Owner)
    try:
        now = timezone.now()
        monkeypatch.setattr(garage, "WORKDAYS", range(7))
        visits.told(garage.founded(shop=garage.SHOP | {"zone": forenoon_zone(now)}, now=now), now)
        paths = places.addresses()
    finally:
        pre_save.disconnect(_reads_german, sender=Owner)
    clients = clients_of(paths)
    known = garbled.data()
    found = {name: garbled.untranslated(texts, known) for name, texts in _read(clients, paths).items()}
    left = {name: texts for name, texts in found.items() if texts}
    assert {name: texts for name, texts in left.items() if name not in NOT_YET} == {}
    assert left.keys() >= NOT_YET


@pytest.fixture(scope="module")
def addresses(started: Started) -> dict[str, list[str]]:
    return started.addresses()


@pytest.mark.long
@pytest.mark.parametrize("language", [GERMAN, ITALIAN])
def test_whoever_chooses_a_language_in_the_foot_reads_it_at_any_width_and_keeps_it(
    started: Started, addresses, language: str
):
    with started.context() as context:
        page = context.new_page()
        for name in CHOSEN_ON:
            page.goto(started.live.base_url + addresses[name][0])
            page.get_by_role("button", name=LANGUAGES[language]).click()
            try:
                assert page.url == started.live.base_url + addresses[name][0]
                assert page.locator("html").get_attribute("lang") == language
                found = {"axe": axe_troubles(page), "sideways at 320 px": scrolls_sideways(page)}
                found["axe at 320 px"] = axe_troubles(page)
                assert {what: troubles for what, troubles in found.items() if troubles} == {}, name
            finally:
                page.get_by_role("button", name=LANGUAGES[ENGLISH]).click()


def _reads_german(instance: Owner, **_: object) -> None:
    instance.language = garbled.LANGUAGE


def _read(clients: dict[str, Client], paths: dict[str, list[str]]) -> dict[str, list[str]]:
    german = {"HTTP_ACCEPT_LANGUAGE": garbled.LANGUAGE}
    read: dict[str, list[str]] = {}
    pages = {name: who for name, who in places.PAGES.items() if who != places.BOSS and name not in FOR_THE_WORKSHOP}
    papers = {name: places.FILES[name][0] for name in PAPERS}
    for name, who in (pages | papers).items():
        for path in paths[name]:
            answer = clients[who].get(path, **german)
            read.setdefault(name, []).extend(garbled.texts_of(answer.content.decode()))
    for message in Message.objects.filter(visit__owner__language=garbled.LANGUAGE):
        texts = [message.subject, *message.text.splitlines(), *garbled.texts_of(message.html)]
        read.setdefault(f"mail {message.what}", []).extend(texts)
    return read | _rare()


def _rare() -> dict[str, list[str]]:
    """Pages that a walk does not meet."""
    values = {"most": "1 MB", "fields": [("name", "Robin")], "path": "/", "token": "a", "shop": the_shop()}
    each = [("503.html", {"why": why}) for why in ("locked", "full", "read-only", "")] + [("503.html", {"reads": True})]
    each += [("503.html", {"fields": ()}), ("garage/too_much_by_link.html", {"fields": ()})]
    each += [(name, {}) for name in ("400.html", "404.html", "413.html", "500.html", "garage/not_open.html")]
    each += [(name, {}) for name in ("garage/link_dead.html", "garage/link_asked.html", "garage/too_much_by_link.html")]
    read: dict[str, list[str]] = {}
    with speaking(garbled.LANGUAGE):
        for name, more in each:
            read.setdefault(name, []).extend(garbled.texts_of(render_to_string(name, values | more)))
        read["garage/not_open.html"] += garbled.texts_of(render_to_string("garage/not_open.html", {}))
    return read
