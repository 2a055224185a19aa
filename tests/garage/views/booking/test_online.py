"""An owner books on three pages; nothing typed is ever lost."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from garage.models.standby import Standby
from garage.models.visits import Hold, SoldPiece, Visit
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db

WHO = {
    "name": "Robin Ashworth",
    "email": "robin@example.org",
    "telephone": "07700 900321",
    "machine_kind": "another",
    "machine_words": "Corrick 125 special",
    "year": "1984",
    "wants": "Bogs at half throttle <since> the new pipe.",
}


@pytest.fixture
def kind():
    garage.shop()
    garage.person()
    garage.machine_kind(make="Corrick", model="185", first_year=1979, last_year=1986)
    return garage.visit_kind(minutes=90, price=Decimal("120"), deposit=Decimal("30"))


@pytest.fixture
def start(kind):
    return booking.at_local(booking.workday(ahead=5), 10)


def _hold(client, start, kind="set-up"):
    return client.post(reverse("book-hold"), {"kind": kind, "starts_at": start.isoformat()})


def _text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_a_day_is_chosen_first_and_then_one_of_its_times(client, kind, start):
    page = client.get(reverse("book-time", args=["set-up"]))
    first, *others = page.context["days"]
    assert page.text.count('name="starts_at"') == len(first.times) <= 20
    address = reverse("book-time", args=["set-up"])
    assert all(f'href="{address}?day={free.day}#day-{free.day}"' in page.text for free in others)
    shown = client.get(address, {"day": others[2].day})
    assert shown.text.count('name="starts_at"') == len(others[2].times)
    assert others[2].times[0].isoformat() in shown.text
    taken = client.post(reverse("book-hold"), {"kind": "set-up", "starts_at": "soon"})
    assert f'href="{address}?day={others[0].day}#day-{others[0].day}"' in taken.text


def test_the_page_of_times_says_price_and_result_and_offers_the_free_times(client, kind, start):
    booking.booked(kind, start)
    answer = client.get(reverse("book-time", args=["set-up"]), {"day": start.date()})
    assert answer.status_code == 200
    assert "£120.00" in _text(answer)
    assert "deposit of £30.00" in _text(answer)
    assert kind.goes_home_with in _text(answer)
    assert start.isoformat() not in answer.content.decode()
    assert (start + timedelta(hours=4)).isoformat() in answer.content.decode()


def test_looking_changes_nothing_not_even_a_session(client, kind):
    client.get(reverse("book-time", args=["set-up"]))
    assert "sessionid" not in client.cookies
    assert not SoldPiece.objects.exists()


def test_later_days_are_one_link_away(client, kind):
    first = client.get(reverse("book-time", args=["set-up"]))
    (since,) = re.findall(r'href="/book/set-up/\?since=([0-9-]+)"', first.content.decode())
    later = client.get(reverse("book-time", args=["set-up"]), {"since": since})
    assert not set(first.context["days"]) & set(later.context["days"])
    assert later.context["days"][0].day.isoformat() >= since


@pytest.mark.parametrize("since", ["", "soon", "2026-13-45", "9999-12-31"])
def test_a_since_that_is_not_a_usable_day_is_no_error(client, kind, since):
    assert client.get(reverse("book-time", args=["set-up"]), {"since": since}).status_code == 200


def test_an_owner_books_from_the_first_press_to_the_thank_you_page(client, kind, start):
    assert _hold(client, start).url == reverse("book-who")
    assert "Held open for you until" in _text(client.get(reverse("book-who")))
    assert client.post(reverse("book-who"), WHO).url == reverse("book-look")
    look = _text(client.get(reverse("book-look")))
    for said in ("Robin Ashworth", "robin@example.org", "07700 900321", "Corrick 125 special, 1984", "£30.00", "10:00"):
        assert said in look
    assert "&lt;since&gt;" in look
    assert client.post(reverse("book-confirm")).url == reverse("booked")
    visit = Visit.objects.get()
    thanks = _text(client.get(reverse("booked")))
    assert f"Visit {visit.number}" in thanks
    assert "at 09:30, half an hour before" in thanks
    assert "/sheet/" in client.get(reverse("booked")).content.decode()
    assert (visit.starts_at, visit.machine.words, visit.machine.year) == (start, "Corrick 125 special", 1984)


def test_a_machine_of_the_shops_own_table_is_picked_by_its_kind(client, kind, start):
    machine_kind = garage.machine_kind(make="Tarnhow", model="250")
    _hold(client, start)
    client.post(reverse("book-who"), WHO | {"machine_kind": str(machine_kind.pk), "machine_words": ""})
    client.post(reverse("book-confirm"))
    machine = Visit.objects.get().machine
    assert (machine.kind, machine.words) == (machine_kind, "Tarnhow 250")


def test_nobody_is_asked_for_a_measure_of_the_engine(client, kind, start):
    _hold(client, start)
    text = _text(client.get(reverse("book-who"))).lower()
    assert "rod" not in re.findall(r"[a-z]+", text)
    assert "stroke" not in text


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("email", "robin at example"),
        ("telephone", "ring me"),
        ("machine_kind", ""),
        ("machine_kind", "999999"),
        ("machine_words", ""),
        ("year", "last year"),
        ("year", "12"),
        ("wants", "x" * 2001),
    ],
)
def test_unreadable_input_is_reported_beside_it_and_everything_typed_stays(client, kind, start, field, value):
    _hold(client, start)
    answer = client.post(reverse("book-who"), WHO | {field: value})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert "data-trouble" in answer.content.decode()
    for name in {"name", "email", "telephone", "year"} - {field}:
        assert f'value="{WHO[name]}"' in answer.content.decode()


def test_saving_a_page_renews_the_hold(client, kind, start):
    _hold(client, start)
    now = timezone.now()
    Hold.objects.update(began_at=now - timedelta(minutes=9), expires_at=now + timedelta(minutes=1))
    client.post(reverse("book-who"), WHO)
    assert Hold.objects.get().expires_at > now + timedelta(minutes=9)


def test_when_the_hold_lapses_and_the_time_is_still_free_it_goes_on_as_if_nothing_were(client, kind, start):
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    Hold.objects.update(expires_at=timezone.now())
    assert "no longer held open" in _text(client.get(reverse("book-look")))
    assert client.post(reverse("book-confirm")).url == reverse("booked")
    assert Visit.objects.get().starts_at == start


def test_when_the_time_has_gone_nothing_typed_is_lost_and_the_nearest_times_are_offered(client, kind, start):
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    Hold.objects.update(expires_at=timezone.now())
    booking.booked(kind, start)
    gone = client.post(reverse("book-confirm"))
    assert gone.status_code == 409
    assert "nothing you have typed is lost" in _text(gone)
    near = gone.context["near"]
    assert len(near) == 3
    assert _hold(client, near[0]).url == reverse("book-who")
    again = client.get(reverse("book-who")).content.decode()
    assert WHO["name"] in again
    assert WHO["machine_words"] in again
    client.post(reverse("book-who"), WHO)
    client.post(reverse("book-confirm"))
    assert Visit.objects.get(owner__name="Robin Ashworth", starts_at=near[0])


def test_when_the_time_goes_while_the_page_is_filled_what_was_typed_is_kept(client, kind, start):
    _hold(client, start)
    Hold.objects.update(expires_at=timezone.now())
    booking.booked(kind, start)
    assert client.post(reverse("book-who"), WHO).status_code == 409
    assert WHO["machine_words"] in client.get(reverse("book-who")).content.decode()


def test_a_taken_time_is_answered_kindly(client, kind, start):
    booking.booked(kind, start)
    answer = _hold(client, start)
    assert answer.status_code == 409
    assert "is not free any more" in _text(answer)
    assert "Nearest free times" in _text(answer)


@pytest.mark.parametrize("starts_at", ["", "ten o'clock", "2026-12-01", "2026-12-01T10:00", "0001-01-01T00:00+00:00"])
def test_an_invalid_time_is_refused_in_a_sentence(client, kind, starts_at):
    answer = client.post(reverse("book-hold"), {"kind": "set-up", "starts_at": starts_at})
    assert answer.status_code == 422
    assert "Choose one of the times shown." in _text(answer)


def test_one_connection_cannot_hold_every_time_in_turn(client, kind, start):
    garage.shop(holds_per_address_and_hour=1)
    _hold(client, start)
    answer = _hold(client, start + timedelta(hours=4))
    assert answer.status_code == 409
    assert "from your connection" in _text(answer)
    assert Hold.objects.get().starts_at == start


def test_pressing_book_it_twice_books_once(client, kind, start):
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    client.post(reverse("book-confirm"))
    assert client.post(reverse("book-confirm")).url == reverse("booked")
    assert Visit.objects.count() == 1


@pytest.mark.parametrize("page", ["book-who", "book-look", "booked"])
def test_pages_that_need_a_choice_lead_back_to_the_front_without_one(client, kind, page):
    assert client.get(reverse(page)).url == reverse("front")


def test_look_and_confirm_lead_to_who_when_nothing_is_typed_yet(client, kind, start):
    _hold(client, start)
    assert client.get(reverse("book-look")).url == reverse("book-who")
    assert client.post(reverse("book-confirm")).url == reverse("book-who")
    assert not Visit.objects.exists()


def test_an_unknown_kind_or_one_not_offered_is_not_found(client, kind):
    garage.visit_kind(slug="old", is_offered=False)
    for slug in ("old", "none-such"):
        assert client.get(reverse("book-time", args=[slug])).status_code == 404


def test_a_get_changes_nothing(client, kind, start):
    for page in ("book-hold", "book-confirm"):
        assert client.get(reverse(page)).status_code == 405


def test_a_post_without_the_pages_token_is_refused(kind, start):
    strict = Client(enforce_csrf_checks=True)
    assert _hold(strict, start).status_code == 403
    assert not Hold.objects.exists()


def test_the_page_of_times_is_light_and_takes_few_queries(client, kind, django_assert_max_num_queries):
    with django_assert_max_num_queries(12):
        answer = client.get(reverse("book-time", args=["set-up"]))
    assert len(answer.content) < 60_000  # bytes


def test_booking_takes_few_queries_and_reads_the_shop_once_for_the_page_once_for_the_change_and_once_to_lock_it(
    client, kind, start
):
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    with CaptureQueriesContext(connection) as asked:
        client.post(reverse("book-confirm"))
    assert Visit.objects.exists()
    assert len(asked) <= 58  # the last four: what waits, was booked lately and is of the same owner; and one counted
    assert sum('FROM "garage_shop"' in query["sql"] for query in asked) == 3


def test_the_thank_you_page_is_not_shown_forever(client, kind, start):
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    client.post(reverse("book-confirm"))
    Visit.objects.update(booked_at=timezone.now() - timedelta(hours=25))
    assert client.get(reverse("booked")).url == reverse("front")


def test_a_kind_taken_off_while_the_pages_are_filled_leads_back_to_the_front(client, kind, start):
    _hold(client, start)
    kind.is_offered = False
    kind.save()
    assert client.get(reverse("book-who")).url == reverse("front")


def test_sooner_is_asked_for_with_the_booking_and_stands_on_every_page_of_it(client, kind, start):
    _hold(client, start)
    page = client.get(reverse("book-who")).text
    assert 'name="sooner_notice_hours"' in page
    assert page.count('name="sooner_days"') == 7
    asked = WHO | {"sooner_notice_hours": "24", "sooner_days": ["0", "4"]}
    assert client.post(reverse("book-who"), asked).url == reverse("book-look")
    assert "24 hours’ notice, Monday, Friday" in _text(client.get(reverse("book-look")))
    kept = client.get(reverse("book-who")).text
    assert '<option value="24" selected>' in kept
    assert kept.count(" checked") == 2
    client.post(reverse("book-confirm"))
    row = Standby.objects.get()
    assert (row.visit, row.notice_hours, row.weekdays) == (Visit.objects.get(), 24, "04")
    assert "24 hours’ notice, Monday, Friday" in _text(client.get(reverse("booked")))
    client.post(reverse("book-confirm"))
    assert Standby.objects.count() == 1


def test_sooner_without_a_day_that_suits_is_asked_again_and_not_asked_for_it_is_nothing(client, kind, start):
    _hold(client, start)
    answer = client.post(reverse("book-who"), WHO | {"sooner_notice_hours": "2"})
    assert "Tick at least one day that suits." in answer.text
    assert 'value="Robin Ashworth"' in answer.text
    assert client.post(reverse("book-who"), WHO | {"sooner_days": ["1"]}).url == reverse("book-look")
    assert "Sooner, if something comes free No." in _text(client.get(reverse("book-look")))
    client.post(reverse("book-confirm"))
    assert not Standby.objects.exists()
    assert "we can offer it to you" in _text(client.get(reverse("booked")))


def test_what_a_browser_typed_before_sooner_was_asked_is_still_booked(client, kind, start):
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    session = client.session
    typed = session["booking"]
    session["booking"] = typed | {"who": {name: typed["who"][name] for name in WHO}}
    session.save()
    client.post(reverse("book-confirm"))
    assert Visit.objects.get().starts_at == start


def test_the_look_says_what_counts_as_late(client, kind, start):
    garage.shop(late_hours=48)
    _hold(client, start)
    client.post(reverse("book-who"), WHO)
    assert "Less than 2 days before counts as late." in _text(client.get(reverse("book-look")))


@pytest.mark.parametrize("field", ["name", "machine_words"])
def test_a_name_or_machine_that_leads_somewhere_is_refused_since_mails_say_it(client, kind, start, field):
    _hold(client, start)
    answer = client.post(reverse("book-who"), WHO | {field: "Win at www.example.com"})
    assert answer.status_code == 422
    assert "Leave out web and mail addresses." in answer.text
    assert 'value="Win at www.example.com"' in answer.text
