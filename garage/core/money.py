"""Money: Decimal pounds, or what the garage reckons in, inside, whole pence at the edges, and the one rounding rule.

Half a penny or more is rounded up, as HMRC requires of retailers, who may not round down (Notice 700, 17.5.2, as
quoted in VATREC12030). The concession to round down is for invoice traders and is not used here. Negative amounts
round by the same distance, so that a refund mirrors its sale.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from garage.core.currencies import in_force, in_units, sign_of
from garage.core.errors import BadInput
from garage.core.text.languages import ENGLISH, in_figures, language_in_force

PENNY = Decimal("0.01")
MOST = Decimal("999999.99")  # pounds; anything more is a typing mistake


def to_penny(amount: Decimal) -> Decimal:
    """The amount in whole pence. Half a penny is rounded away from zero.

    >>> to_penny(Decimal("16.665"))
    Decimal('16.67')
    """
    return amount.quantize(PENNY, ROUND_HALF_UP)


def to_pence(amount: Decimal) -> int:
    """Pounds as a whole number of pence, rounded by the same rule.

    >>> to_pence(Decimal("12.5"))
    1250
    """
    return int(to_penny(amount) * 100)


def from_pence(pence: int) -> Decimal:
    """Whole pence as pounds.

    >>> from_pence(9000)
    Decimal('90.00')
    """
    return Decimal(pence) * PENNY


def pounds(text: str, where: str = "amount") -> Decimal:
    """The amount a person typed, from 0 to 999,999.99.

    The sign of the currency in force, spaces around it and commas between thousands are accepted, and at most two
    decimals. A comma anywhere else is refused, because 12,50 could mean two things. Raises BadInput(where, text,
    allowed).

    >>> pounds(" £1,250.5 ")
    Decimal('1250.50')
    """
    allowed = in_units("an amount in {units} from 0 to 999,999.99, such as 85 or 1,250.00")
    bare = text.strip().removeprefix(sign_of(in_force()).strip()).strip()
    if not re.fullmatch(r"([0-9]{1,9}|[0-9]{1,3}(,[0-9]{3})+)(\.[0-9]{1,2})?", bare):
        raise BadInput(where, text, allowed)
    amount = to_penny(Decimal(bare.replace(",", "")))
    if amount > MOST:
        raise BadInput(where, text, allowed)
    return amount


def pounds_words(amount: Decimal) -> str:
    """The amount as shown on pages and in mails, always with pence, in the currency in force.

    >>> pounds_words(Decimal("1250")), pounds_words(Decimal("-4.5"))
    ('£1,250.00', '-£4.50')
    """
    return money_words(amount, in_force())


def money_words(amount: Decimal, currency: str) -> str:
    """An amount in the currency that a paper names. German and Italian have the sign behind it.

    >>> money_words(Decimal("-1250"), "EUR")
    '-€1,250.00'
    >>> from garage.core.text.languages import in_language
    >>> with in_language("de", str):
    ...     money_words(Decimal("-1250"), "EUR")
    '-1.250,00\\xa0€'
    """
    rounded = to_penny(amount)
    return f"{'-' if rounded < 0 else ''}{signed(f'{abs(rounded):,.2f}', currency)}"


def signed(english: str, currency: str) -> str:
    """Figures written the English way, as the language in force writes them, with the currency's sign.

    >>> signed("8.325", "GBP")
    '£8.325'
    """
    if language_in_force() == ENGLISH:
        return f"{sign_of(currency)}{english}"
    return f"{in_figures(english)}\u00a0{sign_of(currency).strip()}"


def short_pounds_words(amount: Decimal) -> str:
    """The amount without pence if there are none.

    >>> short_pounds_words(Decimal("54.00")), short_pounds_words(Decimal("54.50"))
    ('£54', '£54.50')
    """
    whole = in_figures(".00")
    return pounds_words(amount).replace(whole, "") if to_penny(amount) % 1 == 0 else pounds_words(amount)


def vat_in(gross: Decimal, percent: Decimal) -> Decimal:
    """The VAT contained in a gross price, in whole pence.

    percent: 0 to 100. Source: the VAT fraction, percent/(100 + percent), a sixth at 20 % (HMRC).

    >>> vat_in(Decimal("250.00"), Decimal(20))
    Decimal('41.67')
    """
    rate = _percent(percent)
    return to_penny(gross * rate / (100 + rate))


def net_in(gross: Decimal, percent: Decimal) -> Decimal:
    """A gross price less its VAT, so that the two add up exactly."""
    return to_penny(gross) - vat_in(to_penny(gross), percent)


def _percent(percent: Decimal) -> Decimal:
    if not 0 <= percent <= 100:
        raise BadInput("VAT rate", percent, "0 to 100 per cent")
    return percent
