from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import links
from garage.changes.people import attempts
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.reads import access
from garage.reads import links as reads
from tests.factories import garage as make
from tests.factories.addresses import personal_address
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    make.shop()
    return make.visit()


def ask(token, address="a"):
    links.ask_for_fresh(token, address_key=attempts.hashed(address), now=timezone.now())


def test_revoking_kills_every_link_given_before_and_is_on_the_trail(visit):
    before = {purpose: reads.token(visit, purpose) for purpose in reads.PURPOSES}
    links.revoke(visit, by=make.person(), now=timezone.now())
    assert [access.visit_by_link(token, purpose, now=timezone.now()) for purpose, token in before.items()] == [
        None,
        None,
    ]
    visit.refresh_from_db()
    assert access.visit_by_link(reads.token(visit, "sheet"), "sheet", now=timezone.now()) == visit
    assert TrailRow.objects.get(visit=visit).did == "revoked the personal links"


def test_a_dead_link_brings_a_living_one_to_the_address_on_file(visit):
    dead = reads.token(visit, "sheet")
    links.revoke(visit, by=make.person(), now=timezone.now())
    ask(dead)
    message = Message.objects.get()
    visit.refresh_from_db()
    assert message.to == visit.owner.email
    assert personal_address(visit, "sheet") in message.text
    assert personal_address(visit, "visit") in message.text


def test_the_trail_says_who_had_a_fresh_link_sent(visit):
    boss = make.boss()
    links.send_fresh(visit, by=boss, now=timezone.now())
    ask(reads.token(visit, "visit"))
    rows = TrailRow.objects.filter(did="sent a fresh personal link").order_by("pk")
    assert [(row.by, row.by_words) for row in rows] == [(boss, boss.name), (None, "the owner")]


def test_after_arrival_only_the_visits_link_is_sent(visit):
    visit.arrived_at, visit.state = timezone.now(), "here"
    visit.save()
    ask(reads.token(visit, "sheet"))
    text = Message.objects.get().text
    assert personal_address(visit, "visit") in text
    assert "/sheet/" not in text


def test_nothing_is_sent_for_a_visit_whose_links_are_both_over(visit):
    visit.state = "collected"
    visit.arrived_at = visit.collected_at = timezone.now() - reads.LIVES_AFTER_THE_END
    visit.save()
    ask(reads.token(visit, "visit"))
    assert not Message.objects.exists()


def run_out(visit):
    visit.booked_at = timezone.now() - reads.LIVES_WITHOUT_AN_END
    visit.starts_at, visit.at, visit.minutes = None, "", 0
    visit.save()
    return visit


def test_a_fresh_link_opens_a_visit_whose_links_ran_out_and_the_old_one_stays_dead(visit):
    old = reads.token(run_out(visit), "visit")
    assert access.visit_by_link(old, "visit", now=timezone.now()) is None
    ask(old)
    visit.refresh_from_db()
    assert personal_address(visit, "visit") in Message.objects.get().text
    assert access.visit_by_link(reads.token(visit, "visit"), "visit", now=timezone.now()) == visit
    assert access.visit_by_link(old, "visit", now=timezone.now()) is None


def test_new_links_at_the_desk_open_a_visit_whose_links_ran_out(visit):
    links.revoke(run_out(visit), by=make.person(), now=timezone.now())
    visit.refresh_from_db()
    assert access.visit_by_link(reads.token(visit, "visit"), "visit", now=timezone.now()) == visit


def test_a_fresh_link_before_they_run_out_leaves_the_earlier_ones_alive(visit):
    token = reads.token(visit, "visit")
    ask(token)
    assert access.visit_by_link(token, "visit", now=timezone.now()) == visit


def test_nothing_is_sent_for_a_forged_link_or_an_owner_without_mail(visit):
    ask("1-1.forged")
    visit.owner.email = ""
    visit.owner.save()
    ask(reads.token(visit, "visit"))
    assert not Message.objects.exists()


def test_one_visit_gets_only_so_many_fresh_links_an_hour_whoever_asks(visit):
    for number in range(8):
        ask(reads.token(visit, "visit"), address=f"address {number}")
    assert Message.objects.count() == links.MOST_ASKED["fresh-link-for"]


def test_one_address_may_ask_only_so_often_an_hour_whatever_the_visit(visit):
    visits = [make.visit(machine=visit.machine) for _ in range(12)]
    for each in visits:
        ask(reads.token(each, "visit"))
    assert Message.objects.count() == links.MOST_ASKED["fresh-link-from"]
    ask(reads.token(visits[-1], "visit"), address="another")
    assert Message.objects.count() == links.MOST_ASKED["fresh-link-from"] + 1


def test_revoking_and_sending_are_noted_with_who_and_when(visit):
    by, now = make.person(), timezone.now()
    other = make.visit()
    before = visit.link_generation, other.link_generation
    links.revoke(visit, by=by, now=now)
    check_noted("revoked the personal links", by=by, at=now, visit=visit)
    visit.refresh_from_db()
    other.refresh_from_db()
    assert (visit.link_generation, other.link_generation) == (before[0] + 1, before[1])
    links.send_fresh(visit, by=by, now=now)
    check_noted("sent a fresh personal link", by=by, at=now, visit=visit)
    message = Message.objects.get()
    assert (message.what, message.visit, message.written_at) == ("fresh_link", visit, now)
    token = reads.token(visit, "sheet")
    links.ask_for_fresh(token, address_key="a", now=now)
    check_noted("sent a fresh personal link", by=OWNER, at=now, visit=visit)


def test_an_hour_after_they_were_used_up_fresh_links_are_sent_again(visit):
    now, token = timezone.now(), reads.token(visit, "visit")
    for _ in range(4):
        links.ask_for_fresh(token, address_key="a", now=now)
    assert Message.objects.count() == 3
    links.ask_for_fresh(token, address_key="a", now=now + timedelta(hours=1))
    assert Message.objects.count() == 3
    links.ask_for_fresh(token, address_key="a", now=now + timedelta(hours=1, seconds=1))
    assert Message.objects.count() == 4
