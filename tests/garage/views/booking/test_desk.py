"""The front desk books by telephone."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from garage.models.owners import Machine, Owner
from garage.models.shop import KeptTime
from garage.models.visits import Visit
from tests.factories import booking, garage
from tests.forms import values_of

pytestmark = pytest.mark.django_db
ALL_WELL = {"nipped": "no", "pinking": "no", "leaks": "no"}


def _text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def _booking(page, start, **given):
    values = {
        "kind": "set-up",
        "key": str(page.context["form"]["key"].value()),
        "starts_at": start.isoformat(),
        "name": "Robin Ashworth",
        "telephone": "07700 900321",
        "email": "",
        "machine_kind": "another",
        "machine_words": "Corrick 185",
        "year": "",
        **ALL_WELL,
        "wants": "",
    }
    return values | given


def test_the_desk_books_for_an_owner_without_a_mail_address(desk, kind, start):
    page = desk.get(reverse("desk-booking"), {"day": start.date()})
    assert start.isoformat() in page.content.decode()
    desk.post(reverse("desk-booking"), _booking(page, start))
    visit = Visit.objects.get()
    assert (visit.starts_at, visit.owner.email) == (start, "")


def test_the_desk_sending_twice_books_once(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    for _ in range(2):
        assert desk.post(reverse("desk-booking"), _booking(page, start)).status_code == 302
    assert Visit.objects.count() == 1


def test_the_desk_sees_that_a_time_is_taken_and_keeps_what_was_typed(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    booking.booked(kind, start)
    answer = desk.post(reverse("desk-booking"), _booking(page, start))
    assert answer.status_code == 409
    assert "Nearest free:" in _text(answer)
    assert "Robin Ashworth" in answer.content.decode()
    assert Visit.objects.count() == 1


def test_the_desk_chooses_a_day_and_then_one_of_its_times(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    first, other = page.context["days"][0], page.context["days"][4]
    assert page.text.count("<option value=" + chr(34) + "20") == len(first.times) <= 40
    pressed = _booking(page, start, starts_at=first.times[0].isoformat(), wants="Bogs.", year="1984")
    answer = desk.post(reverse("desk-booking"), pressed | {"on": first.day, "day": other.day})
    assert answer.status_code == 200
    assert answer.context["chosen"] == other
    assert not answer.context["form"].errors
    kept = values_of(answer.text, "Book it")
    for name in ("key", "name", "telephone", "machine_kind", "machine_words", "year", "wants"):
        assert kept[name] == pressed[name]
    assert (kept["on"], kept["starts_at"]) == (other.day.isoformat(), "")
    assert not Visit.objects.exists()


def test_a_form_that_was_refused_stays_on_the_day_that_was_chosen(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    other = page.context["days"][4]
    answer = desk.post(reverse("desk-booking"), _booking(page, start, starts_at="", name="") | {"on": other.day})
    assert answer.status_code == 422
    assert answer.context["chosen"] == other


def test_what_the_desk_leaves_out_is_said_beside_it(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    answer = desk.post(reverse("desk-booking"), _booking(page, start, starts_at="", telephone=""))
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"starts_at", "telephone"}


def test_the_desk_page_works_before_anything_is_offered(client):
    garage.shop()
    client.force_login(garage.front_desk())
    assert "No visit kinds on offer yet" in _text(client.get(reverse("desk-booking")))


def test_a_machine_that_was_here_before_is_booked_without_a_second_record(desk, visit, start):
    page = desk.get(reverse("desk-booking"), {"machine": visit.machine_id})
    assert visit.owner.name in _text(page)
    key = str(page.context["form"]["key"].value())
    later = start + timedelta(hours=4)
    typed = {
        "kind": "set-up",
        "machine": visit.machine_id,
        "key": key,
        "starts_at": later.isoformat(),
        "wants": "Again.",
        **ALL_WELL,
    }
    desk.post(reverse("desk-booking"), typed)
    again = Visit.objects.get(starts_at=later)
    assert (again.machine, again.owner, again.wants) == (visit.machine, visit.owner, "Again.")
    assert Owner.objects.count() == Machine.objects.count() == 1


@pytest.mark.parametrize("machine", ["999", "nonsense", "9" * 30, "-1", "²"])
def test_a_machine_that_does_not_exist_is_not_found(desk, kind, machine):
    assert desk.get(reverse("desk-booking"), {"machine": machine}).status_code == 404


def test_the_desk_asks_for_the_engines_sake_and_says_why(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    answer = desk.post(reverse("desk-booking"), _booking(page, start, nipped="", leaks="perhaps"))
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"nipped", "leaks"}
    assert "Ask them" in _text(answer)


@pytest.mark.parametrize("told", [{"leaks": "yes"}, {"nipped": "yes"}, {"pinking": "yes"}])
def test_what_stops_the_machine_is_told_to_the_owner_at_once(desk, kind, start, told):
    page = desk.get(reverse("desk-booking"))
    answer = desk.post(reverse("desk-booking"), _booking(page, start, **told), follow=True)
    assert "Tell them now" in _text(answer)


def test_nothing_is_to_be_told_where_nothing_stops_it(desk, kind, start):
    page = desk.get(reverse("desk-booking"))
    assert "Tell them now" not in _text(desk.post(reverse("desk-booking"), _booking(page, start), follow=True))


def test_times_that_use_what_is_kept_free_say_so_at_the_desk_and_are_not_offered_online(desk, client, kind, start):
    """Two people have 1,080 minutes, of which a session and its gate take 115."""
    KeptTime.objects.bulk_create(KeptTime(weekday=day, at="bench", minutes=1000) for day in range(5))
    page = desk.get(reverse("desk-booking"), {"day": start.date()})
    assert "08:30, uses time kept free" in _text(page)
    desk.post(reverse("desk-booking"), _booking(page, start))
    assert Visit.objects.get().starts_at == start
    assert not client.get(reverse("book-time", args=["set-up"])).context["days"]
    moving = desk.get(reverse("visit-move", args=[Visit.objects.get().number]), {"day": start.date()})
    assert "These use time that is kept free" in _text(moving)
