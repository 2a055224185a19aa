"""Owners and machines that may be one."""

import pytest
from django.utils import timezone

from garage.changes.people.owners import join_owners
from garage.pages.duplicates import joined, likely_machines, likely_owners
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def pat():
    owner = make.owner(name="Pat Lane", email="pat@example.org", telephone="07700 900123")
    make.machine(owner=owner, words="Tarnhow 250", registration="AB12 CDE")
    make.owner(name="Somebody Else", telephone="01632 960001")
    return owner


def test_joined_owners_are_not_suggested_again(pat):
    duplicate = make.owner(name="Pat Lane", email="pat@example.org")
    (group,) = likely_owners()
    assert group.owners == [pat, duplicate]
    assert group.shared == "email address and telephone number and name"
    join_owners(pat, duplicate, by=make.boss(), now=timezone.now())
    assert likely_owners() == []


def test_machines_of_one_owner_with_the_same_name_are_suggested(pat):
    other = make.machine(owner=pat, words="tarnhow  250")
    make.machine(words="Tarnhow 250")
    (group,) = likely_machines()
    assert group.owner == pat
    assert group.machines == [pat.machines.first(), other]


def test_joins_are_named_after_both_records(pat):
    duplicate = make.owner(name="P. Lane")
    join_owners(pat, duplicate, by=make.boss(), now=timezone.now())
    (line,) = joined()
    assert (line.kept_words, line.joined_words) == ("Pat Lane", "P. Lane")
