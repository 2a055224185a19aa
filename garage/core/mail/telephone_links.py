"""Links that ring or text a number from a phone: tel: (RFC 3966) and sms: (RFC 5724)."""

from __future__ import annotations

import re
from urllib.parse import quote

SHORTEST = 3  # digits; nothing shorter is a number that can be rung from outside
LONGEST = 15  # digits of a global number, ITU-T E.164


def number_for_links(typed: str, calling_code: str) -> str:
    """The number as both kinds of link carry it. Empty if nothing that can be rung was typed.

    typed: as a person writes it. calling_code: of numbers that begin with a single 0, which is the trunk prefix and
    falls away; with an empty one they stay local and say so (`phone-context`, RFC 3966, 5.1.5). A number that begins
    with neither + nor 0 is taken to be local too.

    >>> number_for_links("07700 900123", "44"), number_for_links("+44 (0)1632 960100", "44")
    ('+447700900123', '+441632960100')
    """
    bare, extension = _without_extension(typed.replace("(0)", "").strip())
    digits = re.sub(r"\D", "", bare)
    if not SHORTEST <= len(digits.lstrip("0")) <= LONGEST:
        return ""
    if bare.startswith("+"):
        return f"+{digits}{extension}"
    if digits.startswith("00"):
        return f"+{digits[2:]}{extension}"
    if digits.startswith("0") and calling_code:
        return f"+{calling_code}{digits[1:]}{extension}"
    context = f";phone-context=+{calling_code}" if calling_code else ""
    return f"{digits}{extension}{context}"


def tel_link(typed: str, calling_code: str) -> str:
    """A link that rings the number. Empty if it is none.

    >>> tel_link("01632 960100 ext 12", "44")
    'tel:+441632960100;ext=12'
    """
    number = number_for_links(typed, calling_code)
    return f"tel:{number}" if number else ""


def sms_link(typed: str, calling_code: str, text: str) -> str:
    """A link that opens a text message to the number with its words ready. Empty if it is none.

    Line ends are CR LF, as RFC 5724 asks (2.2), and everything but letters, digits and -._~ is percent-encoded UTF-8.
    An extension cannot be texted and is left out.

    >>> sms_link("07700 900123", "44", "It’s ready & waiting.")
    'sms:+447700900123?body=It%E2%80%99s%20ready%20%26%20waiting.'
    """
    number = re.sub(r";ext=\d+", "", number_for_links(typed, calling_code))
    body = quote("\r\n".join(text.strip().splitlines()), safe="")
    return f"sms:{number}?body={body}" if number else ""


def _without_extension(typed: str) -> tuple[str, str]:
    found = re.search(r"(?:\bext(?:ension|n)?\.?|\bx)\s*(\d{1,7})\s*$", typed, re.IGNORECASE)
    return (typed[: found.start()], f";ext={found.group(1)}") if found else (typed, "")
