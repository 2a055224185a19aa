"""What a stranger types into our mails is no address."""

import pytest

from garage.core.text.leads_nowhere import leads_somewhere


@pytest.mark.parametrize(
    "text",
    [
        "example.com",
        "Win: EXAMPLE.COM now",
        "http://example.org/a",
        "https:/example",
        "ftp://192.0.2.1/",
        "www.example",
        "robin@example.org",
        "robin @ example",
        "t.co/x",
        "b\u00fccher.example",
        "example\u3002com",
        "example\uff0ecom",
        "ex\u00adample.com",
        "example\u200b.com",
        "\uff57\uff57\uff57.example",
        "robin\uff20example",
        "javascript:/x",
        "192.example",
    ],
)
def test_what_a_mail_program_makes_a_link_of_is_seen(text):
    assert leads_somewhere(text)


@pytest.mark.parametrize(
    "text",
    [
        "Robin Ashworth",
        "R.Ashworth",
        "J. R. Ashworth jr.",
        "Anne-Marie O\u2019Neil, Dr. med.",
        "Corrick 185",
        "Corrick 185 Mk.2, 62.5 mm",
        "12.5cc",
        "Tarnhow 250 / 2",
        "25:1 mix",
        "No.5",
        "Can\u2019t come: ill. Sorry.",
        "\u738b\u4f1f",
        "",
    ],
)
def test_a_name_a_machine_and_a_reason_are_none(text):
    assert not leads_somewhere(text)
