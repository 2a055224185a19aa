"""Fix first by personal link: what the owner reads and presses, and what the workshop presses for one who was rung."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import sheets
from garage.core import states
from garage.core.selling.owner_choice import MYSELF, WITH_US
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads import free, links
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    """Its owner is asked."""
    garage.shop(choose_hours=24, fix_first_acts_alone=True)
    garage.person()
    garage.person()
    visit = booking.booked(garage.visit_kind(), booking.at_local(booking.workday(ahead=5), 10))
    visit.machine.kind = garage.machine_kind()
    visit.machine.save()
    return sent(visit, FALSE_CEILING)


def sent(visit, answers):
    answered(fresh(visit), answers)
    sheets.send(fresh(visit), now=timezone.now())
    return fresh(visit)


def fresh(visit):
    return Visit.objects.select_related("owner", "machine__kind", "kind").get(pk=visit.pk)


def address(name, visit):
    return reverse(name, args=[links.token(visit, links.VISIT)])


def bench_times(visit):
    asked = free.asked_to_leave_it(visit, the_shop())
    return [at for day in free.free_days(asked, now=timezone.now()) for at in day.times]


def test_the_owners_page_asks_and_says_until_when(client, visit):
    page = client.get(address("owner-visit", visit)).text
    assert "What would you like to do?" in page
    assert the_shop().local_time.in_words(visit.choose_by) in page
    assert address("owner-choose", visit) in page
    assert "Move it to another time" not in page


def test_both_ways_are_offered_with_what_the_bench_costs(client, visit):
    page = client.get(address("owner-choose", visit)).text
    assert "I’ll put it right myself" in page
    assert "See when you can bring it" in page
    assert "at £45 an hour, parts extra" in page


def test_looking_changes_nothing(client, visit):
    before = Visit.objects.values().get(pk=visit.pk)
    at = bench_times(visit)[0].isoformat()
    for name in ("owner-choose", "owner-leave", "owner-guide", "owner-time"):
        assert client.get(address(name, visit)).status_code == 200
    assert client.get(address("owner-leave-look", visit), {"starts_at": at}).status_code == 200
    assert Visit.objects.values().get(pk=visit.pk) == before


def test_without_a_floor_place_it_can_only_be_put_right_at_home(client, visit):
    Shop.objects.update(floor_places=0)
    page = client.get(address("owner-choose", visit)).text
    assert "There is no room for another machine to stay with us" in page
    assert "See when you can bring it" not in page
    assert "I’ll put it right myself" in page
    at = bench_times(visit)[0].isoformat()
    answer = client.post(address("owner-leave-look", visit), {"starts_at": at, "limit_pounds": "100"})
    assert answer.status_code == 409
    assert "no room" in answer.text
    assert fresh(visit).at == "roller"


def test_put_right_at_home_it_gets_a_guide_the_sheet_again_and_then_a_time(client, visit):
    answer = client.post(address("owner-choose", visit))
    assert answer["Location"] == address("owner-guide", visit)
    guide = client.get(address("owner-guide", visit)).text
    assert "What it may be, likeliest first" in guide
    assert "Take care." in guide
    assert "That opens once the sheet says it is ready for the rollers." in guide
    assert fresh(visit).choice == MYSELF
    at = booking.at_local(booking.workday(ahead=6), 14)
    refused = client.post(address("owner-time", visit), {"starts_at": at.isoformat()})
    assert (refused.status_code, fresh(visit).starts_at) == (409, None)
    assert "First the check sheet again" in refused.text
    visit = sent(visit, HEALTHY)
    assert "Pick a time" in client.get(address("owner-visit", visit)).text
    assert "Pick a new time" in client.get(address("owner-guide", visit)).text
    assert 'name="starts_at"' in client.get(address("owner-time", visit)).text
    assert client.post(address("owner-time", visit), {"starts_at": at.isoformat()}).status_code == 302
    assert (fresh(visit).starts_at, fresh(visit).state) == (at, states.BOOKED)
    assert "You put it right" not in client.get(address("owner-visit", visit)).text


def test_left_with_us_the_page_asks_once_more_with_time_price_and_limit(client, visit):
    at = bench_times(visit)[0]
    assert at.isoformat() in client.get(address("owner-leave", visit)).text
    look = client.get(address("owner-leave-look", visit), {"starts_at": at.isoformat()}).text
    assert the_shop().local_time.in_words(at) in look
    assert 'value="120"' in look  # the shop's own limit, to be changed
    answer = client.post(address("owner-leave-look", visit), {"starts_at": at.isoformat(), "limit_pounds": "80"})
    assert answer["Location"] == address("owner-visit", visit)
    visit = fresh(visit)
    assert (visit.choice, visit.starts_at, visit.bench_limit_pounds) == (WITH_US, at, 80)
    page = client.get(answer["Location"]).text
    assert "leave it with us" in page
    assert "What would you like to do?" not in page


@pytest.mark.parametrize("typed", ["", "a lot", "-5", "20000"])
def test_a_limit_that_is_none_is_reported_beside_it_and_kept(client, visit, typed):
    at = bench_times(visit)[0].isoformat()
    answer = client.post(address("owner-leave-look", visit), {"starts_at": at, "limit_pounds": typed})
    assert answer.status_code == 422
    assert "limit_pounds_error" in answer.text
    assert f'value="{typed}"' in answer.text or not typed
    assert f'value="{at}"' in answer.text
    assert fresh(visit).choice == "asked"


@pytest.mark.parametrize("typed", ["", "soon"])
def test_a_time_that_is_none_shows_the_free_ones(client, visit, typed):
    for answer in (
        client.get(address("owner-leave-look", visit), {"starts_at": typed}),
        client.post(address("owner-leave-look", visit), {"starts_at": typed, "limit_pounds": "80"}),
    ):
        assert answer.status_code == 422
        assert "Choose one of the times shown." in answer.text
        assert bench_times(visit)[0].isoformat() in answer.text


def test_bench_time_that_was_taken_meanwhile_shows_the_nearest(client, visit):
    at = bench_times(visit)[3]
    check = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    for _ in range(2):
        booking.booked(check, at)
    answer = client.post(address("owner-leave-look", visit), {"starts_at": at.isoformat(), "limit_pounds": "80"})
    assert answer.status_code == 409
    assert "Nearest free times" in answer.text
    assert fresh(visit).choice == "asked"


def test_a_visit_with_nothing_to_choose_says_so(client):
    garage.shop()
    visit = garage.visit()
    assert "nothing to choose for this visit any more" in client.get(address("owner-choose", visit)).text
    assert client.post(address("owner-choose", visit)).status_code == 409
    assert client.get(address("owner-guide", visit)).status_code == 200


def test_the_workshop_chooses_for_an_owner_who_was_rung(client, visit):
    client.force_login(garage.front_desk())
    page = client.get(reverse("visit", args=[visit.number])).text
    assert "The owner puts it right" in page
    assert client.post(reverse("visit-choice", args=[visit.number]), {"choice": MYSELF}).status_code == 302
    assert (fresh(visit).choice, fresh(visit).starts_at) == (MYSELF, None)


def test_the_workshop_gives_the_time_back(client, visit):
    client.force_login(garage.boss())
    client.post(reverse("visit-choice", args=[visit.number]), {"choice": "none"})
    assert (fresh(visit).choice, fresh(visit).state) == ("", states.TO_PUT_RIGHT)
    again = client.post(reverse("visit-choice", args=[visit.number]), {"choice": "none"}, follow=True)
    assert "not asked any more" in again.text


def test_an_unknown_choice_is_refused(client, visit):
    client.force_login(garage.boss())
    answer = client.post(reverse("visit-choice", args=[visit.number]), {"choice": "melt"}, follow=True)
    assert "allowed is one of the buttons on the page" in answer.text
    assert fresh(visit).choice == "asked"


def test_fix_first_says_whose_answer_is_awaited(client, visit):
    client.force_login(garage.boss())
    page = client.get(reverse("fix-first")).text
    assert "Its owner is asked" in page
    assert the_shop().local_time.in_words(visit.choose_by) in page
