"""The money that a garage's prices are in, what stands before an amount of it, and what the tax on sales is called.

As Python's decimal context or a time zone, one currency is in force: the shop's, set where a request, a mail or a task
begins. Papers name their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from garage.core.text.languages import told, told_later

POUND, EURO = "GBP", "EUR"
VAT = "VAT"
LONGEST_TAX_NAME = 12  # characters: a column of the invoice's table is no wider
# ISO 4217, all with two decimals: every amount here is whole hundredths.
CURRENCIES = {
    POUND: "£, pounds sterling",
    EURO: "€, euros",
    "CHF": "CHF, Swiss francs",
    "CZK": "CZK, Czech koruna",
    "DKK": "DKK, Danish kroner",
    "NOK": "NOK, Norwegian kroner",
    "PLN": "PLN, Polish złoty",
    "SEK": "SEK, Swedish kronor",
    "AUD": "AUD, Australian dollars",
    "CAD": "CAD, Canadian dollars",
    "NZD": "NZD, New Zealand dollars",
    "USD": "USD, United States dollars",
}
SIGNS = {POUND: "£", EURO: "€"}
UNITS = {POUND: (told_later("pounds"), "pence"), EURO: (told_later("euros"), "cents")}  # elsewhere by the code


@dataclass(frozen=True)
class _Money:
    currency: str = POUND
    tax: str = VAT


_AT_FIRST = _Money()
_IN_FORCE = ContextVar("money in force", default=_AT_FIRST)


@contextmanager
def in_currency(currency: str, tax: str = VAT) -> Iterator[None]:
    """Amounts within are written in it, and the tax on sales is called so.

    >>> with in_currency("EUR", "IVA"):
    ...     sign_of(in_force()), tax_name()
    ('€', 'IVA')
    """
    before = _IN_FORCE.set(_Money(currency, tax))
    try:
        yield
    finally:
        _IN_FORCE.reset(before)


def in_force() -> str:
    """Three letters of ISO 4217; pounds where nothing has been said."""
    return _IN_FORCE.get().currency


def tax_name() -> str:
    """What the tax on sales is called; VAT where nothing has been said."""
    return _IN_FORCE.get().tax


def tax_on_paper(seller: Mapping[str, object]) -> str:
    """What a frozen paper calls it. seller: as it keeps the garage.

    >>> tax_on_paper({"tax_name": "IVA"}), tax_on_paper({})
    ('IVA', 'VAT')
    """
    return str(seller.get("tax_name") or VAT)


def put_in_force(currency: str, tax: str) -> None:
    """For all that follows in this thread: of a worker, where each task says it anew."""
    _IN_FORCE.set(_Money(currency, tax))


def sign_of(currency: str) -> str:
    """What stands before an amount.

    >>> sign_of("EUR"), sign_of("CHF")
    ('€', 'CHF\\xa0')
    """
    return SIGNS.get(currency, f"{currency}\u00a0")


def in_units(text: str) -> str:
    """A label with the names in force: {units} and {hundredths} of the currency, and {tax}.

    >>> in_units("Labour, {units} an hour")
    'Labour, pounds an hour'
    >>> in_units("Price each, {tax} included")
    'Price each, VAT included'
    >>> with in_currency("CHF"):
    ...     in_units("A telephone call, {hundredths}")
    'A telephone call, hundredths of CHF'
    """
    currency = in_force()
    units, hundredths = UNITS.get(currency, (currency, f"hundredths of {currency}"))
    return told(text, units=told(units), hundredths=hundredths, tax=tax_name())
