"""README's table of who may see and do what, held at every address × method × role.

The rows asked for do not exist: a door refuses before anything is looked up, and whoever may come in is told so.
"""

import functools
import re

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from garage.output import typesetting
from garage.views import middleware
from tests.factories import garage as make
from tests.rules.roles import BOSS, DEED_OF, DEEDS, DESK, HEAD, MECHANIC, NOBODY, STAFF
from tests.rules.tree import ROOT

pytestmark = pytest.mark.django_db
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE")
NEVER_TAKEN = ("PUT", "PATCH", "DELETE", "TRACE")
REFUSED, TO_THE_LOG_IN, DEAD_LINK, NOT_TAKEN = 403, 302, 410, 405
NOT_THERE = {"int": 987654, "str": "2030-01-02", "slug": "not-there"}


def patterns(listed=None):
    for pattern in get_resolver().url_patterns if listed is None else listed:
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern.url_patterns)
        elif isinstance(pattern, URLPattern):
            yield pattern


def path_of(pattern):
    kinds = re.findall(r"<(\w+):(\w+)>", str(pattern.pattern))
    return reverse(pattern.name, kwargs={name: NOT_THERE[kind] for kind, name in kinds})


ADDRESSES = {pattern.name: path_of(pattern) for pattern in patterns()}


@pytest.fixture(autouse=True)
def _what_lies_behind_the_doors_is_quick(monkeypatch):
    """No door asks for the paper or for the settings: both would be made anew for each of many thousand answers."""
    monkeypatch.setattr(typesetting, "typeset", lambda *_: b"%PDF-")
    monkeypatch.setattr(middleware, "shop_or_none", functools.cache(middleware.shop_or_none))


@pytest.fixture
def browsers():
    """One that is logged in for each role, and one that is not."""
    make.shop()
    people = {BOSS: make.boss(), DESK: make.front_desk(), MECHANIC: make.person()}
    found = {NOBODY: Client()}
    for role, person in people.items():
        found[role] = Client()
        found[role].force_login(person)
    return found


def test_every_address_stands_in_one_row_of_the_table():
    listed = [address for deed in DEEDS for address in deed.addresses]
    assert sorted(listed) == sorted(pattern.name for pattern in patterns())


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: deed.words)
def test_its_addresses_answer_each_role_as_the_table_says_by_every_method(deed, browsers):
    told = {
        (name, role, method): answer_of(browser.generic(method, ADDRESSES[name]), ADDRESSES[name])
        for name in deed.addresses
        for role, browser in browsers.items()
        for method in METHODS
    }
    expected = {which: expected_of(deed, which[1], answer) for which, answer in told.items()}
    assert {which: answer for which, answer in told.items() if answer != expected[which]} == {}
    let_in = {which: answer for which, answer in told.items() if which[1] in deed.who and not deed.by_link}
    assert {answer for (_, _, method), answer in let_in.items() if method in NEVER_TAKEN} <= {NOT_TAKEN}


def answer_of(answer, path):
    if answer.status_code == TO_THE_LOG_IN and answer["Location"] == f"{reverse('log-in')}?next={path}":
        return "to the log-in"
    return answer.status_code


def expected_of(deed, role, answer):
    """Whoever may come in gets any answer but a refusal: not found, or a method that is not taken."""
    if deed.by_link:
        return DEAD_LINK
    if role in deed.who:
        return answer if answer not in (REFUSED, "to the log-in", 500) else "let in"
    return REFUSED if role in STAFF else "to the log-in"


def test_the_readme_shows_the_same_table():
    rows = [line for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    cells = [tuple(cell.strip() for cell in line.strip("|").split("|")) for line in rows]
    start = cells.index(HEAD)
    assert cells[start + 1 : start + 1 + len(DEEDS)] == [deed.cells for deed in DEEDS]
    assert len([row for row in cells if len(row) == len(HEAD) and row[-1] in {"yes", "–", "by their link"}]) == len(
        DEEDS
    )


def test_a_page_that_a_role_may_not_open_is_not_in_its_menu(browsers):
    for role in STAFF:
        page = browsers[role].get(reverse("visits")).content.decode()
        menu = page.partition('aria-label="Workshop"')[2].partition("</nav>")[0]
        linked = {name for name, path in ADDRESSES.items() if f'href="{path}"' in menu}
        assert linked
        assert {name for name in linked if role not in DEED_OF[name].who} == set()
        assert ("the-book" in linked, "shop" in linked) == (role != MECHANIC, role == BOSS)
