"""The money that a garage's prices are in, and what stands before an amount of it.

As Python's decimal context or a time zone, one currency is in force: the shop's, set where a request, a mail or a task
begins. Papers name their own.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

POUND, EURO = "GBP", "EUR"
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
UNITS = {POUND: ("pounds", "pence"), EURO: ("euros", "cents")}  # elsewhere by the code
_IN_FORCE = ContextVar("currency in force", default=POUND)


@contextmanager
def in_currency(currency: str) -> Iterator[None]:
    """Amounts within are written in it.

    >>> with in_currency("EUR"):
    ...     sign_of(in_force())
    '€'
    """
    before = _IN_FORCE.set(currency)
    try:
        yield
    finally:
        _IN_FORCE.reset(before)


def in_force() -> str:
    """Three letters of ISO 4217; pounds where nothing has been said."""
    return _IN_FORCE.get()


def put_in_force(currency: str) -> None:
    """For all that follows in this thread: of a worker, where each task says it anew."""
    _IN_FORCE.set(currency)


def sign_of(currency: str) -> str:
    """What stands before an amount.

    >>> sign_of("EUR"), sign_of("CHF")
    ('€', 'CHF\\xa0')
    """
    return SIGNS.get(currency, f"{currency}\u00a0")


def in_units(text: str) -> str:
    """A label with the names of the currency in force for {units} and {hundredths}.

    >>> in_units("Labour, {units} an hour")
    'Labour, pounds an hour'
    >>> with in_currency("CHF"):
    ...     in_units("A telephone call, {hundredths}")
    'A telephone call, hundredths of CHF'
    """
    currency = in_force()
    units, hundredths = UNITS.get(currency, (currency, f"hundredths of {currency}"))
    return text.format(units=units, hundredths=hundredths)
