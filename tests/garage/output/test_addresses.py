"""Whole addresses for mails and pictures."""

from garage.output.addresses import sheet_address, visit_address


def test_an_address_is_whole_and_belongs_to_its_page(settings):
    settings.SITE_URL = "https://garage.example.org"
    assert sheet_address("41-1.x") == "https://garage.example.org/sheet/41-1.x/"
    assert visit_address("41-1.x") == "https://garage.example.org/visit/41-1.x/"
