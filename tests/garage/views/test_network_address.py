from django.test import RequestFactory

from garage.views.network_address import address_key


def key(**meta):
    return address_key(RequestFactory().get("/", **meta))


def test_one_address_has_one_key_and_two_have_two():
    assert key(REMOTE_ADDR="192.0.2.1") == key(REMOTE_ADDR="192.0.2.1") != key(REMOTE_ADDR="192.0.2.2")


def test_the_address_cannot_be_read_from_its_key_or_computed_without_our_secret(settings):
    before = key(REMOTE_ADDR="192.0.2.1")
    assert "192.0.2.1" not in before
    settings.SECRET_KEY = "another"
    assert key(REMOTE_ADDR="192.0.2.1") != before


def test_without_a_proxy_forwarded_headers_are_ignored(settings):
    settings.IS_HTTPS = False
    assert key(REMOTE_ADDR="192.0.2.1", HTTP_X_FORWARDED_FOR="198.51.100.9") == key(REMOTE_ADDR="192.0.2.1")


def test_behind_the_proxy_only_what_the_proxy_added_counts(settings):
    settings.IS_HTTPS = True
    told = key(REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="made up, 198.51.100.9")
    assert told == key(REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="198.51.100.9")
    assert told != key(REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="made up, 198.51.100.8")


def test_the_addresses_of_one_line_have_one_key(settings):
    settings.IS_HTTPS = False
    assert key(REMOTE_ADDR="2001:db8:1:2::1") == key(REMOTE_ADDR="2001:db8:1:2:ffff::9")
    assert key(REMOTE_ADDR="2001:db8:1:2::1") != key(REMOTE_ADDR="2001:db8:1:3::1")
    assert key(REMOTE_ADDR="::ffff:192.0.2.1") == key(REMOTE_ADDR="192.0.2.1")
