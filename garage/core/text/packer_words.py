"""Packer thicknesses in words, without trailing zeros."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from garage.core.text.languages import in_figures, told

THICKEST_MM = Decimal(10)  # more than any plate is raised by; common practice, no source


def mm_words(thickness_mm: Decimal) -> str:
    """A thickness without trailing zeros.

    >>> mm_words(Decimal("0.80")), mm_words(Decimal("10.00"))
    ('0.8 mm', '10 mm')
    """
    return f"{in_figures(f'{thickness_mm.normalize():f}')} mm"


def stack_words(thicknesses_mm: Iterable[Decimal]) -> str:
    """A whole stack, thickest first.

    >>> stack_words([Decimal("0.5"), Decimal("0.80"), Decimal("0.5")])
    '0.8, 0.5 and 0.5 mm'
    """
    *most, last = [mm_words(one).removesuffix(" mm") for one in sorted(thicknesses_mm, reverse=True)]
    return f"{told('{these} and {last}', these=', '.join(most), last=last)} mm" if most else f"{last} mm"
