"""Times, money and routes in words. Times are shown in the active zone (the shop's, on pages)."""

from __future__ import annotations

import re
from datetime import date, datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.html import format_html

from garage.changes.visit.photos import ALLOWED
from garage.core import money, routes, states
from garage.core.currencies import tax_name
from garage.core.text.bench_words import bench_words
from garage.core.text.languages import LANGUAGES, TAGS, amid, in_figures, language_in_force, told
from garage.core.text.packer_words import mm_words
from garage.core.text.unbroken import kept_together
from garage.core.time import clock
from garage.core.time.local_time import LocalTime
from garage.models.visits import Visit

register = template.Library()
register.filter("amid", amid)


@register.filter
def local(instant: datetime | None) -> str:
    """ "Wednesday 10 March, 09:00" """
    return _in_force().in_words(instant) if instant else ""


@register.filter
def local_day(instant: datetime | None) -> str:
    return clock.day_in_words(_in_force().day(instant)) if instant else ""


@register.filter
def day_words(day: date) -> str:
    return clock.day_in_words(day)


@register.filter
def local_time(instant: datetime | None) -> str:
    return f"{_in_force().shown(instant):%H:%M}" if instant else ""


def _in_force() -> LocalTime:
    return LocalTime(timezone.get_current_timezone())


@register.filter
def pounds(amount: Decimal | None) -> str:
    """ "£1,250.00" in the shop's currency, minus sign before its sign"""
    return "" if amount is None else money.pounds_words(Decimal(amount))


@register.simple_tag
def tax() -> str:
    """ "VAT", as the shop or the paper calls it"""
    return tax_name()


@register.filter
def whole_pounds(amount: int) -> str:
    """ "£120" """
    return money.short_pounds_words(Decimal(amount))


@register.filter(is_safe=True)
def unbroken(html: str) -> str:
    """Around a whole paper: values and units stay together. Pages have it by themselves."""
    return kept_together(html)


@register.filter
def thousands(count: int) -> str:
    """ "18,350" """
    return in_figures(f"{count:,}")


@register.filter
def figures(number: object) -> str:
    """ "0.8" as the reader writes it. Django leaves numbers with their point, for drawings and fields."""
    return in_figures(str(number))


@register.simple_tag
def language_tag() -> str:
    """ "en-GB", of the page"""
    return TAGS[language_in_force()]


@register.simple_tag
def languages() -> list[dict[str, object]]:
    """Those that a reader can choose from, each as it calls itself."""
    spoken = language_in_force()
    return [
        {"code": code, "tag": TAGS[code], "own_name": own_name, "is_spoken": code == spoken}
        for code, own_name in LANGUAGES.items()
    ]


@register.filter
def mm(thickness_mm: Decimal) -> str:
    """ "0.8 mm" """
    return mm_words(thickness_mm)


@register.filter
def bench_minutes_words(visit: Visit) -> str:
    """What is planned for it at the bench, and how that spreads. Empty if nothing is."""
    planned = visit.bench_minutes
    return bench_words(planned, visit.bench_minutes_from, visit.bench_minutes_to) if planned else ""


@register.filter
def route_words(route: str) -> str:
    return routes.WORDS.get(route, route)


@register.filter
def state_words(state: str) -> str:
    return told(states.WORDS[state]) if state in states.WORDS else state


@register.filter
def telephone(number: str) -> str:
    """Only digits and a leading plus, for a tel: link."""
    return re.sub(r"(?!^\+)\D", "", number.strip())


@register.filter
def ring_link(number: str) -> str:
    """The number to be tapped, within a sentence."""
    return format_html('<a href="tel:{}">{}</a>', telephone(number), number)


@register.simple_tag
def photo_allowed() -> str:
    """Said before one is chosen."""
    return ALLOWED
