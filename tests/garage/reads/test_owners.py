import pytest
from django.utils import timezone

from garage.changes.people.owners import join_owners
from garage.reads import owners
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def pat():
    owner = make.owner(name="Pat Lane", email="pat@example.org", telephone="07700 900123")
    make.machine(owner=owner, words="Tarnhow 250", registration="AB12 CDE")
    make.owner(name="Somebody Else", telephone="01632 960001")
    return owner


@pytest.mark.parametrize(
    "words", ["pat", "LANE", "pat@example", "+447700900123", "07700900123", "tarnhow", "ab12", "lane tarnhow"]
)
def test_an_owner_is_found_by_name_mail_telephone_or_machine(pat, words):
    assert owners.found(words) == [pat]


@pytest.mark.parametrize("words", ["nobody", "lane ostler", "07700900124"])
def test_a_search_that_matches_nobody_finds_nobody(pat, words):
    assert owners.found(words) == []


def test_without_words_all_are_shown_by_name(pat):
    assert [row.name for row in owners.found("")] == ["Pat Lane", "Somebody Else"]


def test_visits_are_counted_once_however_many_machines_fit(pat):
    machines = [make.machine(owner=pat, words=words) for words in ("Tarnhow 250", "Tarnhow 250")]
    make.visit(machine=machines[0])
    (row,) = owners.found("tarnhow")
    assert row.visit_count == 1


def test_a_joined_owner_is_not_found(pat):
    join_owners(pat, make.owner(name="Pat Lane", email="pat@example.org"), by=make.boss(), now=timezone.now())
    assert owners.found("pat") == [pat]


def test_an_owner_page_takes_the_same_queries_however_many_rows(pat, django_assert_max_num_queries):
    for _ in range(5):
        make.visit(machine=make.machine(owner=pat))
    with django_assert_max_num_queries(4):
        owners.found("")
        [str(visit.machine) + str(visit.kind) for visit in owners.visits_of(pat)]
        [machine.kind for machine in owners.machines_of(pat)]
