from datetime import date, time, timedelta

import pytest
from django.forms import DecimalField, IntegerField, Textarea
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from garage.core.backups.kept import BackupName, WhyMade
from garage.core.shop_limits import LIMITS
from garage.core.time.roller_hours import RollerHours
from garage.models.shop import ClosedDay, KeptTime, OpeningHours, Shop
from garage.reads.shop import today
from garage.running.backups.folder import note_failure
from garage.views.shop.forms import SHOP_PARTS, ShopForm
from tests.factories import garage as make
from tests.factories.booking import at_local
from tests.forms import values_of

pytestmark = pytest.mark.django_db
PAGES = [
    "shop",
    "shop-hours",
    "shop-kept-free",
    "shop-days",
    "shop-people",
    "shop-stations",
    "shop-kinds",
    "shop-machine-kinds",
    "shop-packers",
]


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.parametrize("name", PAGES)
def test_only_the_boss_opens_the_shop(client, name):
    make.shop()
    assert reverse("log-in") in client.get(reverse(name))["Location"]
    for person, status in ((make.person(), 403), (make.front_desk(), 403), (make.boss(), 200)):
        client.force_login(person)
        assert client.get(reverse(name)).status_code == status


def test_every_setting_of_the_shop_is_on_the_page():
    shown = {name for names in SHOP_PARTS.values() for name in names}
    assert shown == {field.name for field in Shop._meta.fields} - {"id", "is_open", "wall_generation", "demo_words"}


def test_every_number_of_the_settings_has_a_limit():
    numbers = {name for name, field in ShopForm.base_fields.items() if isinstance(field, IntegerField | DecimalField)}
    assert numbers == LIMITS.keys()


def test_no_setting_says_its_label_again_below_it():
    fields = ShopForm.base_fields.values()
    assert [field.label for field in fields if str(field.help_text).strip(".") == field.label] == []


@pytest.mark.parametrize("name", ["address", "payment_words", "does_words", "cancel_words"])
def test_a_setting_of_several_sentences_has_room_for_them(name):
    assert isinstance(ShopForm.base_fields[name].widget, Textarea)


def test_a_setting_is_changed_and_the_others_stay(boss):
    values = values_of(page(boss, "shop"), "Save")
    answer = boss.post(reverse("shop"), values | {"labour_per_hour": "48.00", "fix_first_acts_alone": "on"})
    assert answer.status_code == 302
    shop = Shop.objects.get()
    assert (shop.labour_per_hour, shop.fix_first_acts_alone, shop.name) == (48, True, "Quarry Lane Rolling Road")
    assert not shop.do_not_run_acts_alone
    assert "changed the settings" in page(boss, "shop")


def test_where_to_pay_is_kept_as_it_is_printed_whatever_way_it_was_typed(boss):
    values = values_of(page(boss, "shop"), "Save")
    typed = {"bank_account": "de33 1002 0500 0001 1947 00", "bank_bic": "bfswde33 ber", "currency": "EUR"}
    boss.post(reverse("shop"), values | typed | {"country": "IE", "vat_number": "6433435 F"})
    shop = Shop.objects.get()
    assert (shop.bank_account, shop.bank_bic) == ("DE33100205000001194700", "BFSWDE33BER")
    assert (shop.currency, shop.vat_number) == ("EUR", "IE6433435F")


@pytest.mark.parametrize(("name", "typed"), [("currency", "ZZZ"), ("country", "QQ")])
def test_a_country_and_a_currency_are_of_the_list(boss, name, typed):
    values = values_of(page(boss, "shop"), "Save")
    answer = boss.post(reverse("shop"), values | {name: typed})
    assert (answer.status_code, "one of the list" in answer.content.decode()) == (422, True)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("vat_number", "GB 123 4567 83", "VAT number is"),
        ("bank_account", "GB29 NWBK 6016 1331 9268 18", "an IBAN, or a sort code and an account number"),
        ("bank_account", "60-16-13 319268", "such as 01-02-03 12345678"),
        ("bank_bic", "NWBK", "the 8 or 11 letters and digits that the bank gives"),
        ("zone", "Europe/Ambleford", "Time zone is"),
        ("holiday_country", "QQ", "Country of the bank holidays is"),
        ("email", "nowhere", "valid email address"),
        ("calling_code", "+44", "up to three digits without + or 0, such as 44"),
        ("calling_code", "044", "up to three digits without + or 0"),
        ("deposit_frees_after_days", "0", "1 or more, so that somebody can ring first, or nothing"),
        ("quiet_from", "late", "Enter a valid time"),
        ("bookable_days", "99999999999", "1 to 366"),
        ("notice_minutes", "99999999999", "0 to 20160"),
        ("labour_per_hour", "-1", "0 to 10000"),
        ("floor_places", "101", "101 is not possible here: 0 to 100 is."),
    ],
)
def test_impossible_input_is_reported_at_its_field_and_kept(boss, field, typed, said):
    values = values_of(page(boss, "shop"), "Save")
    answer = boss.post(reverse("shop"), values | {field: typed, "name": "Another name"})
    assert answer.status_code == 422
    again = answer.content.decode()
    assert said in again.split(f'id="id_{field}_error"')[1][:200]
    assert values_of(again, "Save")[field] == typed
    assert values_of(again, "Save")["name"] == "Another name"
    assert Shop.objects.get().name == "Quarry Lane Rolling Road"


def test_opening_hours_are_changed_and_an_emptied_day_is_closed(boss):
    values = values_of(page(boss, "shop-hours"), "Save")
    assert values["opens_0"] == "08:00"
    boss.post(reverse("shop-hours"), values | {"opens_0": "", "closes_0": "", "opens_5": "09:00", "closes_5": "12:00"})
    assert sorted(OpeningHours.objects.values_list("weekday", flat=True)) == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"opens_2": "", "closes_2": "17:00"}, "Wednesday needs both times"),
        ({"closes_2": "07:00"}, "Wednesday: closes is &#x27;07:00&#x27;; allowed is a time after 08:00."),
        ({"opens_2": "8 o'clock"}, "Enter a valid time"),
    ],
)
def test_impossible_hours_are_reported_at_the_weekday(boss, typed, said):
    values = values_of(page(boss, "shop-hours"), "Save")
    answer = boss.post(reverse("shop-hours"), values | typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert OpeningHours.objects.count() == 5


def _without_token(values):
    return {name: value for name, value in values.items() if name != "csrfmiddlewaretoken"}


def test_time_is_kept_free_by_weekday_and_the_page_shows_it_again(boss):
    values = values_of(page(boss, "shop-kept-free"), "Save")
    assert (values["bench_0"], values["roller_4"]) == ("", "")
    typed = {"bench_0": "60", "bench_1": "0", "roller_4": "45"}
    assert boss.post(reverse("shop-kept-free"), values | typed).status_code == 302
    assert list(KeptTime.objects.values_list("weekday", "at", "minutes")) == [(0, "bench", 60), (4, "roller", 45)]
    again = values_of(page(boss, "shop-kept-free"), "Save")
    assert (again["bench_0"], again["bench_1"], again["roller_4"]) == ("60", "", "45")


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"bench_0": "an hour"}, "bench_0", "Enter whole minutes, such as 60."),
        ({"bench_0": "30.5"}, "bench_0", "no more than 0 decimal places"),
        ({"bench_0": "-5"}, "bench_0", "Monday: bench is -5; allowed is 0 to 1140 minutes"),
        ({"roller_0": "571"}, "roller_0", "Monday: rollers is 571; allowed is 0 to 570 minutes"),
        ({"bench_6": "10"}, "bench_6", "the garage is closed on Sundays"),
    ],
)
def test_what_cannot_be_kept_free_is_said_at_its_field_and_kept(boss, typed, field, said):
    values = values_of(page(boss, "shop-kept-free"), "Save") | typed
    answer = boss.post(reverse("shop-kept-free"), values)
    assert answer.status_code == 422
    assert said in answer.text.split(f'id="id_{field}_error"')[1][:200]
    assert _without_token(values_of(answer.text, "Save")) == _without_token(values)
    assert not KeptTime.objects.exists()


def test_the_rollers_are_given_shorter_hours_or_none_and_the_page_shows_them_again(boss):
    values = values_of(page(boss, "shop-hours"), "Save")
    assert (values["rollers_from_0"], values["rollers_until_0"], "no_rollers_0" in values) == ("", "", False)
    typed = {"rollers_from_0": "09:00", "rollers_until_0": "16:00", "rollers_from_1": "10:00", "no_rollers_2": "on"}
    assert boss.post(reverse("shop-hours"), values | typed).status_code == 302
    kept = {row.weekday: row.hours.rollers for row in OpeningHours.objects.all()}
    assert kept[0] == RollerHours(time(9), time(16))
    assert (kept[1], kept[2], kept[3]) == (
        RollerHours(begins=time(10)),
        RollerHours(has_rollers=False),
        RollerHours(),
    )
    again = values_of(page(boss, "shop-hours"), "Save")
    assert _without_token(again) == _without_token(values | typed)


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"rollers_from_2": "07:00"}, "rollers_from_2", "allowed is a time from 08:00 and before 17:30."),
        ({"rollers_until_2": "17:35"}, "rollers_until_2", "allowed is a time after 08:00, 17:30 at the latest."),
        (
            {"rollers_from_2": "12:00", "rollers_until_2": "11:00"},
            "rollers_until_2",
            "allowed is a time after 12:00, 17:30 at the latest.",
        ),
        (
            {"rollers_from_2": "09:00", "no_rollers_2": "on"},
            "rollers_from_2",
            "allowed is an empty field on a day with no rollers.",
        ),
        ({"rollers_from_6": "09:00"}, "rollers_from_6", "Sunday is closed: give opening hours too"),
        ({"rollers_until_6": "09:00"}, "rollers_until_6", "Sunday is closed: give opening hours too"),
        ({"rollers_until_2": "four"}, "rollers_until_2", "Enter a valid time"),
    ],
)
def test_impossible_roller_hours_are_said_at_their_field_and_kept(boss, typed, field, said):
    values = values_of(page(boss, "shop-hours"), "Save") | typed
    answer = boss.post(reverse("shop-hours"), values)
    assert answer.status_code == 422
    assert said in answer.text.split(f'id="id_{field}_error"')[1][:200]
    assert _without_token(values_of(answer.text, "Save")) == _without_token(values)
    assert all(row.hours.rollers == RollerHours() for row in OpeningHours.objects.all())


def test_a_closed_day_is_added_refused_twice_and_taken_off(boss):
    day = today(now=timezone.now()) + timedelta(days=10)
    boss.post(reverse("shop-days"), {"day": day, "why": "Stocktaking"})
    assert "Stocktaking" in page(boss, "shop-days")
    again = boss.post(reverse("shop-days"), {"day": day, "why": "Twice"})
    assert again.status_code == 422
    assert "not on the list yet" in again.content.decode()
    boss.post(reverse("shop-day-forget", args=[ClosedDay.objects.get().id]))
    assert not ClosedDay.objects.exists()


def test_a_winter_closing_is_added_at_once_shown_as_one_and_taken_off_as_one(boss):
    first = today(now=timezone.now()) + timedelta(days=10)
    ClosedDay.objects.create(day=first - timedelta(days=5), why="Stocktaking")
    typed = {"day": first, "last_day": first + timedelta(days=11), "why": "Winter closing"}
    boss.post(reverse("shop-days"), typed)
    assert ClosedDay.objects.count() == 13
    text = page(boss, "shop-days")
    assert text.count("Winter closing") == 1
    assert "closed, 12 days" in text
    boss.post(reverse("shop-day-forget", args=[ClosedDay.objects.get(day=first).id]))
    assert ClosedDay.objects.get().why == "Stocktaking"


def test_a_closing_names_the_visits_that_are_booked_then_and_no_others(boss):
    first = today(now=timezone.now()) + timedelta(days=10)
    typed = {"day": first, "last_day": first + timedelta(days=2), "why": "Winter closing"}
    noon = at_local(first, 12, 0)
    make.visit(number=9001, state=states.BOOKED, starts_at=noon - timedelta(days=1))
    make.visit(number=9002, state=states.CALLED_OFF, starts_at=noon)
    assert "It is on the list. No visit is booked then." in boss.post(reverse("shop-days"), typed, follow=True).text
    ClosedDay.objects.all().delete()
    make.visit(number=9003, state=states.BOOKED, starts_at=noon + timedelta(days=2))
    make.visit(number=9004, state=states.DEPOSIT_AWAITED, starts_at=noon)
    said = "It is on the list. Booked then, and to be moved by hand: visits 9004, 9003."
    assert said in boss.post(reverse("shop-days"), typed, follow=True).text


def test_a_holiday_that_is_worked_says_nothing_of_moving_visits(boss):
    day = today(now=timezone.now()) + timedelta(days=10)
    typed = {"day": day, "why": "Rally week", "open_after_all": "on"}
    text = boss.post(reverse("shop-days"), typed, follow=True).text
    assert "It is on the list." in text
    assert "booked then" not in text


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"last_day": "2020-01-01"}, "within 120 days"),
        ({"last_day": "soon"}, "Enter a valid date"),
        ({"open_after_all": "on"}, "added one by one"),
    ],
)
def test_a_closing_that_cannot_be_is_said_at_its_last_day_and_what_was_typed_stays(boss, wrong, said):
    first = today(now=timezone.now()) + timedelta(days=10)
    typed = {"day": first, "last_day": first + timedelta(days=11), "why": "Winter closing"} | wrong
    answer = boss.post(reverse("shop-days"), typed)
    assert answer.status_code == 422
    assert said in answer.text
    assert 'value="Winter closing"' in answer.text
    assert f'value="{first}"' in answer.text
    assert not ClosedDay.objects.exists()


def test_past_days_are_not_shown(boss):
    ClosedDay.objects.create(day=date(2020, 1, 2), why="Long ago")
    assert "Long ago" not in page(boss, "shop-days")


def test_unknown_rows_are_not_found(boss):
    for name in ("shop-kind", "shop-machine-kind", "shop-person"):
        assert boss.get(reverse(name, args=[999])).status_code == 404
    for name in ("shop-day-forget", "shop-station-remove", "shop-station-rename"):
        assert boss.post(reverse(name, args=[999])).status_code == 404


def test_the_boss_reads_of_the_last_backup_and_why_none_was_made(client, settings, tmp_path):
    make.shop()
    client.force_login(make.boss())
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "backups"
    assert "There is none yet." in page(client, "shop")
    settings.BACKUPS.mkdir()
    (settings.BACKUPS / str(BackupName(timezone.now(), WhyMade.DAILY))).write_bytes(b"x" * 2048)
    note_failure("There is no room for a backup in <here>.", now=timezone.now())
    shown = page(client, "shop")
    assert "2.0\xa0KB" in shown
    assert "The last one failed. There is no room for a backup in &lt;here&gt;." in shown
