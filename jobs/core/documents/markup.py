"""XML elements, written as they nest."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from xml.etree.ElementTree import Element, tostring

_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, production 2


def element(name: str, *inside: Element | str | None, **attributes: str) -> Element:
    """name: with its prefix. inside: children in order, or words; None is left out."""
    made = Element(name, attributes)
    for part in inside:
        if isinstance(part, str):
            made.text = _NO_XML.sub("", part)
        elif part is not None:
            made.append(part)
    return made


def document_bytes(root: Element, namespaces: dict[str, str]) -> bytes:
    """namespaces: by prefix; the empty one is that of names without a prefix."""
    for prefix, address in namespaces.items():
        root.set(f"xmlns:{prefix}" if prefix else "xmlns", address)
    made: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return made


def plain(number: Decimal) -> str:
    """Without zeros at its end.

    >>> plain(Decimal("20.00")), plain(Decimal("0.80"))
    ('20', '0.8')
    """
    return f"{number.normalize():f}"


def money(amount: Decimal) -> str:
    return f"{amount:.2f}"


def basic_day(day: date) -> str:
    """As 20260310: format 102 of UNTDID 2379."""
    return f"{day:%Y%m%d}"
