import pytest
from django.test import Client
from django.utils import timezone

from garage.changes.shop import start_code
from garage.models.people import Person
from garage.models.shop import Shop, VisitKind
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
WHO = {"first_name": "Jo", "username": "jo", "password": "ambleford-lane-7", "again": "ambleford-lane-7"}
GARAGE = {
    "name": "Quarry Lane",
    "address": "Quarry Lane\nAmbleford",
    "telephone": "01632 960100",
    "email": "garage@example.com",
}
WEEK = {f"{name}_{day}": at for day in range(7) for name, at in (("opens", "08:00"), ("closes", "17:30"))}
PLACES = {"rollers": 1, "benches": 1} | WEEK
WORKER = {
    "does_rollers": "on",
    "does_bench": "on",
    "days": [str(day) for day in range(7)],
    "begins": "08:00",
    "ends": "17:30",
}
SESSION = {
    "name": "Set-up",
    "goes_home_with": "A machine set up.",
    "booked_as": "set-up",
    "minutes": 90,
    "price": "120",
    "deposit": "0",
}
MONEY = {"labour_per_hour": "48,50", "vat_number": "", "payment_words": ""}
PAGES = {"garage": GARAGE, "stations": PLACES, "people": WORKER, "session": SESSION, "money": MONEY}


@pytest.fixture
def code():
    return start_code.renew(now=timezone.now())


@pytest.fixture
def boss(client, code):
    assert client.post("/begin/", WHO | {"code": code}).headers["Location"] == "/begin/garage/"
    return client


def words(answer):
    return answer.content.decode()


def test_an_empty_garage_says_what_is_missing_and_who_can_do_it(client, code):
    front = client.get("/")
    assert "not open yet" in words(front)
    assert "no boss, no name, no rollers and no prices" in words(front)
    assert "Whoever started Tickover" in words(front)
    assert 'href="/begin/"' in words(front)
    assert "<form" not in words(front)
    assert client.get("/log-in/").headers["Location"] == "/begin/"


def test_the_first_log_in_is_led_to_the_opening_and_really_sells_a_time(boss):
    order = list(PAGES)
    for page, then in zip(order, [*order[1:], "open"], strict=True):
        assert boss.get(f"/begin/{page}/").status_code == 200
        assert boss.post(f"/begin/{page}/", PAGES[page]).headers["Location"] == f"/begin/{then}/"
    ready = words(boss.get("/begin/open/"))
    assert "Nothing is missing. The first roller time that can be sold is" in ready
    assert "not open yet" in words(Client().get("/"))
    assert boss.post("/begin/open/").headers["Location"] == "/begin/open/"
    assert 'href="/book/set-up/"' in words(boss.get("/begin/open/"))
    assert 'name="starts_at"' in words(Client().get("/book/set-up/"))
    assert boss.get("/begin/garage/").headers["Location"] == "/begin/open/"


def test_with_a_boss_the_door_is_shut_for_good(boss, code):
    assert boss.get("/begin/").status_code == 404
    assert Client().get("/begin/").status_code == 404
    assert Client().post("/begin/", WHO | {"code": code, "username": "second"}).status_code == 404
    assert Person.objects.count() == 1


def test_a_wrong_code_keeps_what_was_typed_but_no_password(client, code):
    answer = client.post("/begin/", WHO | {"code": "AAAA-BBBB-CCCC"})
    assert answer.status_code == 422
    assert "allowed is the code in the terminal" in words(answer)
    assert 'value="Jo"' in words(answer)
    assert "ambleford-lane-7" not in words(answer)
    assert not Shop.objects.exists()


def test_two_passwords_that_differ_are_said(client, code):
    answer = client.post("/begin/", WHO | {"code": code, "again": "another-lane-7"})
    assert answer.status_code == 422
    assert "The two are not the same" in words(answer)


def test_too_many_wrong_codes_answer_so(client, code):
    for _ in range(start_code.MOST_WRONG_FROM_AN_ADDRESS):
        client.post("/begin/", WHO | {"code": "AAAA-BBBB-CCCC"})
    assert client.post("/begin/", WHO | {"code": code}).status_code == 429


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize(("button", "then"), [("back", None), ("later", "open")])
def test_what_was_typed_is_kept_when_a_page_is_left(boss, page, button, then):
    order = list(PAGES)
    field = {"garage": "name", "stations": "opens_2", "people": "begins", "session": "price", "money": "vat_number"}[
        page
    ]
    before = "open" if page == "garage" else order[order.index(page) - 1]
    answer = boss.post(f"/begin/{page}/", PAGES[page] | {field: "what I typed", button: "1"})
    assert answer.headers["Location"] == f"/begin/{then or before}/"
    assert 'value="what I typed"' in words(boss.get(f"/begin/{page}/"))
    assert "Something is typed and not saved yet" in words(boss.get("/begin/open/"))


def test_an_empty_tick_is_kept_too(boss):
    left = {name: value for name, value in WORKER.items() if name != "does_rollers"} | {"days": ["6"], "back": "1"}
    boss.post("/begin/people/", left)
    page = words(boss.get("/begin/people/"))
    assert 'name="does_rollers" id="id_does_rollers" checked' not in page
    assert page.count("checked") == 2  # the bench, and Sunday


def test_what_is_saved_is_no_longer_only_typed(boss):
    boss.post("/begin/garage/", GARAGE | {"later": "1"})
    boss.post("/begin/garage/", GARAGE)
    assert "Something is typed" not in words(boss.get("/begin/open/"))


def test_what_cannot_be_used_stays_on_its_page_with_one_sentence(boss):
    answer = boss.post("/begin/session/", SESSION | {"deposit": "200"})
    assert answer.status_code == 422
    assert "Deposit is 200; allowed is 0 to the price, 120." in words(answer)
    assert not VisitKind.objects.exists()


def test_opening_too_early_is_refused_with_the_list(boss):
    answer = boss.post("/begin/open/", follow=True)
    assert "Something is still missing: see the list." in words(answer)
    assert not Shop.objects.get().is_open


def test_an_unknown_page_is_not_found(boss):
    assert boss.get("/begin/nowhere/").status_code == 404


def test_a_boss_who_comes_back_later_is_led_on(boss):
    boss.post("/log-out/")
    answer = boss.post("/log-in/", {"name": "jo", "password": "ambleford-lane-7"})
    assert answer.headers["Location"] == "/"
    front = words(boss.get("/"))
    assert "Until the first roller time can be sold" in front
    assert 'href="/begin/open/"' in front


def test_the_others_read_that_the_boss_can_do_it(boss):
    mechanic = Client()
    mechanic.force_login(make.person())
    assert "The boss can fill it in." in words(mechanic.get("/"))
    assert mechanic.get("/begin/open/").status_code == 403


@pytest.mark.parametrize("path", ["/book/set-up/", "/book/who/", "/book/look/", "/booked/", "/ask/"])
def test_before_the_opening_no_public_page_has_a_form(boss, path):
    assert Client().get(path).headers["Location"] == "/"
    public = words(Client().get("/"))
    assert "not open yet" in public
    assert "<form" not in public


@pytest.mark.parametrize("path", ["/book/hold/", "/book/confirm/"])
def test_before_the_opening_nothing_is_held_or_booked_by_a_post_sent_by_hand(boss, path):
    assert Client().post(path, {"kind": "set-up", "starts_at": "2030-01-02T10:00:00Z"}).headers["Location"] == "/"


def test_every_page_of_the_workshop_opens_before_the_garage_does(boss):
    for path in ("/day/", "/visits/", "/owners/", "/shop/", "/shop/people/", "/sent/", "/book/", "/account/"):
        assert boss.get(path).status_code in (200, 404), path
