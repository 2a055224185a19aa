import pytest

from garage.core.mail.telephone_links import number_for_links, sms_link, tel_link


@pytest.mark.parametrize(
    ("typed", "code", "number"),
    [
        ("07700 900123", "44", "+447700900123"),
        ("+44 7700 900123", "44", "+447700900123"),
        ("0044 7700 900123", "44", "+447700900123"),
        ("+44 (0)7700 900123", "44", "+447700900123"),
        ("(01632) 960-100", "44", "+441632960100"),
        ("01632 960100 ext. 12", "44", "+441632960100;ext=12"),
        ("01632 960100 x12", "44", "+441632960100;ext=12"),
        ("960100", "44", "960100;phone-context=+44"),  # RFC 3966, 5.1.5: a local number says where it is one
        ("01632 960100", "", "01632960100"),
        ("+1 (201) 555-0123", "44", "+12015550123"),
    ],
)
def test_a_number_as_people_write_it_is_one_that_can_be_rung_from_anywhere(typed, code, number):
    assert number_for_links(typed, code) == number
    assert tel_link(typed, code) == f"tel:{number}"


@pytest.mark.parametrize("typed", ["", "none", "ask at the club", "00", "12", "0", "1" * 16, "+"])
def test_what_is_no_number_has_no_link(typed):
    assert tel_link(typed, "44") == sms_link(typed, "44", "Hello") == ""


def test_the_words_of_a_text_are_whole_and_safe_in_a_link():
    link = sms_link("07700 900123", "44", "Jo & Sam,\nit's 100% ready? +1 #2\n")
    assert link == "sms:+447700900123?body=Jo%20%26%20Sam%2C%0D%0Ait%27s%20100%25%20ready%3F%20%2B1%20%232"


def test_nothing_typed_as_a_number_gets_out_of_the_link():
    assert tel_link('07700"><script>900123', "44") == "tel:+447700900123"


def test_an_extension_cannot_be_texted():
    assert sms_link("01632 960100 ext 12", "44", "Hi") == "sms:+441632960100?body=Hi"
