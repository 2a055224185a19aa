import pytest
from django.test import Client
from django.urls import reverse

from garage.changes.people import log_ins
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
PASSWORD = "ambleford-lane-7"


@pytest.fixture
def person():
    make.shop()
    return make.person(username="robin", first_name="Robin", password=PASSWORD)


def log_in(client, **given):
    return client.post(reverse("log-in"), {"name": "robin", "password": PASSWORD} | given)


def is_in(client):
    return "_auth_user_id" in client.session


@pytest.mark.parametrize("role", ["boss", "front-desk", "mechanic"])
def test_staff_log_in_and_see_the_day(client, person, role):
    person.role = role
    person.save()
    answer = log_in(client)
    assert answer.status_code == 302
    assert answer["Location"] == reverse("day-sheet")
    assert is_in(client)


def test_the_page_asked_for_comes_after_the_log_in(client, person):
    asked = client.get(reverse("owners"))
    page = client.get(asked["Location"]).content.decode()
    assert f'name="next" value="{reverse("owners")}"' in page
    assert log_in(client, next=reverse("owners"))["Location"] == reverse("owners")


@pytest.mark.parametrize(
    "elsewhere", ["https://example.com/", "//example.com/", "javascript:alert(1)", "/\\example.com"]
)
def test_the_log_in_never_leads_to_another_site(client, person, elsewhere):
    assert log_in(client, next=elsewhere)["Location"] == reverse("day-sheet")


def test_a_wrong_password_is_refused_in_one_sentence_and_the_name_stays(client, person):
    answer = log_in(client, password="wrong")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "belong together" in page
    assert 'value="robin"' in page
    assert "wrong" not in page
    assert not is_in(client)


def test_empty_fields_are_reported_at_the_fields(client, person):
    answer = log_in(client, name="", password="")
    assert answer.status_code == 422
    assert answer.content.decode().count("This field is required.") == 2


def test_too_many_wrong_passwords_shut_the_door_for_a_while(client, person):
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME):
        log_in(client, password="wrong")
    answer = log_in(client)
    assert answer.status_code == 429
    assert "Wait a quarter of an hour" in answer.content.decode()
    assert not is_in(client)


def test_logging_in_needs_the_pages_own_form(person):
    strict = Client(enforce_csrf_checks=True)
    assert log_in(strict).status_code == 403


def test_logging_out_works_also_from_a_page_that_sends_no_origin(person):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(person)
    answer = strict.post(reverse("log-out"), headers={"Origin": "null"})
    assert answer["Location"] == reverse("front")
    assert not is_in(strict)


def test_looking_at_log_out_logs_nobody_out(client, person):
    client.force_login(person)
    assert client.get(reverse("log-out")).status_code == 405
    assert is_in(client)


def test_plain_http_says_what_does_not_work(client, person, settings):
    settings.ALLOWED_HOSTS = ["garage.example.com", "127.0.0.1"]
    page = client.get(reverse("log-in"), headers={"host": "garage.example.com"}).content.decode()
    assert "plain http" in page
    assert "won’t record the rev-out" in page
    assert "can read passwords" in page


def test_plain_http_is_fine_only_on_this_machine_itself(client, person):
    page = client.get(reverse("log-in"), headers={"host": "127.0.0.1"}).content.decode()
    assert "fine on this computer alone" in page
    assert "can read passwords" not in page


def test_over_https_nothing_is_said(client, person):
    assert "plain http" not in client.get(reverse("log-in"), secure=True).content.decode()


def test_the_log_in_page_is_not_cached(client, person):
    assert "no-store" in client.get(reverse("log-in"))["Cache-Control"]
