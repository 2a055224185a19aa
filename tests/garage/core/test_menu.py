import pytest

from garage.core.menu import menu_of
from garage.models.people import Person
from tests.rules.roles import DEEDS

ROLES = [role for role, _ in Person._meta.get_field("role").choices]


def open_to(role: str) -> set[str]:
    return {address for deed in DEEDS if role in deed.who for address in deed.addresses}


@pytest.mark.parametrize("role", ROLES)
def test_the_menu_leads_each_role_to_pages_that_it_may_open_and_to_none_twice(role):
    menu = menu_of(role)
    addresses = [place.address for place in menu.row + menu.more]
    assert len(set(addresses)) == len(addresses)
    assert set(addresses) <= open_to(role)


@pytest.mark.parametrize("role", ROLES)
def test_a_page_of_the_menu_that_a_role_may_open_is_in_its_menu(role):
    of_boss, menu = menu_of(Person.BOSS), menu_of(role)
    everywhere = {place.address for place in of_boss.row + of_boss.more}
    assert {place.address for place in menu.row + menu.more} == everywhere & open_to(role)


@pytest.mark.parametrize(
    ("role", "row"),
    [
        (Person.MECHANIC, ["Day sheet", "Cards"]),
        (Person.FRONT_DESK, ["Day sheet", "Ring list", "Visits"]),
        (Person.BOSS, ["Day sheet", "Fix first", "The book"]),
    ],
)
def test_what_a_role_uses_every_hour_is_always_in_sight(role, row):
    assert [place.words for place in menu_of(role).row] == row
