"""A value and its unit stay on one line: a number at the end of one and "°C" at the head of the next is misread."""

from __future__ import annotations

import re

NO_BREAK = "\u00a0"
UNITS = (
    *("°C", "°", "degrees", "hPa", "mbar", "bar", "kg/m³", "kg·m²", "kW", "hp", "PS", "Nm", "lbf·ft"),
    *("rpm", "km/h", "mph", "%"),
)
_TYPED = r"<(textarea|option|title|script|style)\b.*?</\1>"  # stays as it was typed
_GAP = rf"(?<=[0-9]) (?=(?:{'|'.join(map(re.escape, UNITS))})(?!\w))"
_PARTS = re.compile(rf"{_TYPED}|<[^>]*>|{_GAP}", re.DOTALL)


def kept_together(html: str) -> str:
    """A page, a paper or plain text with no-break spaces between numbers and units, as the SI brochure (5.4.3) has it.

    Tags, and what stands in a field, are left as they are.

    >>> kept_together('<p title="17 °C">17 °C, 5,300 rpm, 40 % and 12 rpms</p>')
    '<p title="17 °C">17\\xa0°C, 5,300\\xa0rpm, 40\\xa0% and 12 rpms</p>'
    >>> kept_together("<textarea>at 7000 rpm</textarea> 9 hp")
    '<textarea>at 7000 rpm</textarea> 9\\xa0hp'
    """
    return _PARTS.sub(lambda part: NO_BREAK if part[0] == " " else part[0], html)
