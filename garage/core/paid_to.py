"""Where an owner pays to, and under which country's numbers: what the shop types once."""

from __future__ import annotations

import re

import stdnum
import stdnum.bic
import stdnum.exceptions
import stdnum.iban

from garage.core.errors import BadInput
from garage.core.text.languages import told

HOME = "GB"
COUNTRIES = {  # ISO 3166-1: those with a VAT number of their own that can be checked, and others of these currencies
    HOME: "United Kingdom",
    "AT": "Austria",
    "AU": "Australia",
    "BE": "Belgium",
    "BG": "Bulgaria",
    "CA": "Canada",
    "CH": "Switzerland",
    "CY": "Cyprus",
    "CZ": "Czechia",
    "DE": "Germany",
    "DK": "Denmark",
    "EE": "Estonia",
    "ES": "Spain",
    "FI": "Finland",
    "FR": "France",
    "GR": "Greece",
    "HR": "Croatia",
    "HU": "Hungary",
    "IE": "Ireland",
    "IT": "Italy",
    "LT": "Lithuania",
    "LU": "Luxembourg",
    "LV": "Latvia",
    "MT": "Malta",
    "NL": "Netherlands",
    "NO": "Norway",
    "NZ": "New Zealand",
    "PL": "Poland",
    "PT": "Portugal",
    "RO": "Romania",
    "SE": "Sweden",
    "SI": "Slovenia",
    "SK": "Slovakia",
    "US": "United States",
}
VAT_PREFIXES = {"GR": "EL"}  # elsewhere the country's own letters
_SORT_CODE_AND_ACCOUNT = re.compile(r"([0-9]{6})([0-9]{8})")
ACCOUNT_ALLOWED = "an IBAN, or a sort code and an account number, such as 01-02-03 12345678"


def account_number(typed: str) -> str:
    """An IBAN without spaces, or six digits of a sort code and eight of an account. Empty for none.

    Raises BadInput. Source: ISO 13616, its check digits and each country's own length; sort codes have none to check.

    >>> account_number("gb29 nwbk 6016 1331 9268 19"), account_number("60-16-13 31926819")
    ('GB29NWBK60161331926819', '60161331926819')
    """
    bare = re.sub(r"[\s-]", "", typed).upper()
    if not bare or _SORT_CODE_AND_ACCOUNT.fullmatch(bare):
        return bare
    try:
        return str(stdnum.iban.validate(bare))
    except stdnum.exceptions.ValidationError as error:
        raise BadInput("Account", typed, ACCOUNT_ALLOWED) from error


def is_iban(account: str) -> bool:
    """account: as account_number gives it."""
    return account[:2].isalpha()


def account_words(account: str) -> str:
    """As printed.

    >>> account_words("GB29NWBK60161331926819")
    'IBAN GB29 NWBK 6016 1331 9268 19'
    >>> account_words("60161331926819")
    'sort code 60-16-13, account 31926819'
    """
    if is_iban(account):
        return "IBAN " + " ".join(account[at : at + 4] for at in range(0, len(account), 4))
    sort_code = f"{account[:2]}-{account[2:4]}-{account[4:6]}"
    return told("sort code {sort_code}, account {account}", sort_code=sort_code, account=account[6:])


def bic(typed: str) -> str:
    """A BIC of eight or eleven signs (ISO 9362). Empty for none. Raises BadInput."""
    bare = typed.replace(" ", "").upper()
    if not bare:
        return ""
    try:
        return str(stdnum.bic.validate(bare))
    except stdnum.exceptions.ValidationError as error:
        raise BadInput("BIC", typed, "the 8 or 11 letters and digits that the bank gives") from error


def vat_number(typed: str, country: str = HOME) -> str:
    """As printed, with its country in front. Empty for a garage that is not registered. Raises BadInput.

    >>> vat_number("980 7806 84"), vat_number("6433435F", "IE")
    ('GB980780684', 'IE6433435F')
    """
    if not typed.strip():
        return ""
    numbers = stdnum.get_cc_module(country, "vat")
    prefix = VAT_PREFIXES.get(country, country)
    try:
        bare = str(numbers.validate(typed)) if numbers else re.sub(r"[\s.-]", "", typed).upper()
    except stdnum.exceptions.ValidationError as error:
        nine_or_twelve = "a valid United Kingdom number of nine or twelve digits"
        allowed = nine_or_twelve if country == HOME else f"a valid number of {COUNTRIES.get(country, country)}"
        raise BadInput("VAT number", typed, allowed) from error
    return prefix + bare.removeprefix(prefix)
