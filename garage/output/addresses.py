"""Full addresses for mails, diaries and pictures: the site's own address plus the path of a page."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse


def sheet_address(token: str) -> str:
    """The address of the owner's check sheet."""
    return _whole("sheet", token)


def visit_address(token: str) -> str:
    """The address of the owner's page for a visit."""
    return _whole("owner-visit", token)


def confirm_address(token: str) -> str:
    """The address of the page on which an owner confirms a booking."""
    return _whole("owner-confirm", token)


def guide_address(token: str) -> str:
    """The address of the page with what an owner can try at home."""
    return _whole("owner-guide", token)


def public_guide_address(slug: str) -> str:
    """The address of one of the guides that anybody can read."""
    return _whole("guide", slug)


def time_address(token: str) -> str:
    """The address of the page on which an owner picks a new time."""
    return _whole("owner-time", token)


def offer_address(token: str, offer_id: int) -> str:
    """The address of the page on which an owner says yes or no to a freed time."""
    return _whole("owner-offer", token, offer_id)


def asked_address(token: str, consent_id: int) -> str:
    """The address of the page on which an owner says yes or no to more work."""
    return _whole("owner-asked", token, consent_id)


def estimate_address(token: str, estimate_id: int) -> str:
    """The address of the page on which an owner says yes or no to an estimate."""
    return _whole("owner-estimate", token, estimate_id)


def reminders_address(token: str) -> str:
    """The address of the page on which an owner says no to service reminders."""
    return _whole("owner-reminders", token)


def feed_address(token: str) -> str:
    """The secret address of a person's or a station's calendar."""
    return _whole("feed", token)


def wall_address(token: str) -> str:
    """The secret address of the wall."""
    return _whole("wall-by-link", token)


def security_txt_address() -> str:
    """Where this site says whom to tell of a hole in it."""
    return _whole("security-txt")


def card_address(number: int) -> str:
    """The address of a visit's job card, for those who work on it."""
    return _whole("card", number)


def _whole(page: str, *args: object) -> str:
    return f"{settings.SITE_URL}{reverse(page, args=args)}"
