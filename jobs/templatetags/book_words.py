"""How amounts, days and minutes are written in the book and on papers."""

from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.template import Context

from garage.core.currencies import in_force
from garage.core.money import money_words, signed
from jobs.models.book import InvoiceLine

register = template.Library()


@register.filter
def quantity(number: Decimal | str | None) -> str:
    """ "1", "0.9", "1.25": no trailing zeros"""
    if number in (None, ""):
        return ""
    text = f"{Decimal(number):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@register.simple_tag(takes_context=True)
def amount(context: Context, value: Decimal) -> str:
    """In the paper's own currency where the context names one, else in the shop's."""
    return money_words(value, _currency(context))


@register.filter
def size(amount: Decimal) -> Decimal:
    """The absolute amount."""
    return abs(amount)


@register.simple_tag(takes_context=True)
def amount_without_vat(context: Context, line: InvoiceLine) -> str:
    """Unit price without VAT, at most four decimals: £9.99 at 20 % is 8.325 (four per unit: HMRC, VATREC12010)."""
    price, percent = line.price_each, line.vat_percent
    exact = (price * 100 / (100 + percent)).quantize(Decimal("0.0001"), ROUND_HALF_UP)
    whole, _, parts = f"{exact:,.4f}".partition(".")
    return signed(f"{whole}.{parts[:2]}{parts[2:].rstrip('0')}", _currency(context))


def _currency(context: Context) -> str:
    return str(context.get("currency") or in_force())


@register.filter
def minutes_of(spell: timedelta) -> str:
    """ "35 min", "2 h 05 min" """
    whole = int(spell.total_seconds() // 60)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"
