"""A frozen invoice or credit note as a bookkeeper's program reads it, by the terms of EN 16931 (BT-1 and so on).

Our prices include VAT. What stands here is without it: each line's own share of the invoice's net.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from garage.core.errors import BadInput
from garage.core.money import PENNY, to_penny
from jobs.core.billing.invoice import EXEMPT, OUTSIDE

NEED_REASON = frozenset({OUTSIDE, EXEMPT})  # BR-O-10, BR-E-10
INVOICE, CREDIT_NOTE = "380", "381"  # UNTDID 1001
MOST_DECIMALS = 10  # of a net price: at 999,999 pieces the line is still right to the penny
UNIT_CODES = {"": "C62", "h": "HUR"}  # UN/ECE Recommendation 20: pieces, hours


@dataclass(frozen=True)
class Party:
    """lines: of the address, any number. country: two letters of ISO 3166-1. vat_number: with its country in front.

    identifier: what else tells this seller from others, where there is no VAT number (BT-29).
    """

    name: str
    lines: tuple[str, ...]
    country: str
    vat_number: str = ""
    identifier: str = ""
    email: str = ""


@dataclass(frozen=True)
class Account:
    """Where to pay to. number: an IBAN, or a sort code and an account number in one."""

    number: str
    is_iban: bool
    holder: str
    bic: str = ""


@dataclass(frozen=True)
class DocumentLine:
    """net, vat: whole pence, the line's shares of the sums; below 0 for a discount. quantity: above 0.

    percent: VAT, 0 to 100. category: one of invoice.VAT_CATEGORIES.
    """

    index: int
    words: str
    quantity: Decimal
    unit: str
    net: Decimal
    vat: Decimal
    category: str
    percent: Decimal

    @property
    def signed_quantity(self) -> Decimal:
        """Below 0 with a net below 0, since a net price may not be (BR-27)."""
        return -self.quantity if self.net < 0 else self.quantity

    @property
    def net_each(self) -> Decimal:
        """The net price with as few decimals, two or more, as give the line's net to the penny again (BT-146).

        >>> DocumentLine(1, "Jet", Decimal(3), "", Decimal("11.25"), Decimal("2.25"), "S", Decimal(20)).net_each
        Decimal('3.75')
        >>> DocumentLine(1, "Jet", Decimal(7), "", Decimal("2.80"), Decimal("0.56"), "S", Decimal(20)).net_each
        Decimal('0.40')
        >>> DocumentLine(1, "Labour", Decimal("0.9"), "h", Decimal("0.10"), Decimal("0.02"), "S", Decimal(20)).net_each
        Decimal('0.11')
        """
        exact = abs(self.net) / self.quantity
        for decimals in range(2, MOST_DECIMALS):
            rounded = round(exact, decimals)
            if to_penny(rounded * self.quantity) == abs(self.net):
                return rounded
        return round(exact, MOST_DECIMALS)


@dataclass(frozen=True)
class VatGroup:
    """The lines of one kind of VAT and rate (BG-23), in whole pence."""

    category: str
    percent: Decimal
    net: Decimal
    vat: Decimal


@dataclass(frozen=True)
class Corrected:
    """The invoice that a credit note corrects (BG-3)."""

    number: int
    issued_on: date


@dataclass(frozen=True)
class Document:
    """Sums in whole pence; a credit note's are above 0 too. prepaid: the deposit. corrects: of a credit note alone.

    currency: three letters of ISO 4217. notes: sentences. exemption_words: why there is no VAT, where there is none.
    """

    number: int
    issued_on: date
    supplied_on: date
    currency: str
    seller: Party
    buyer: Party
    lines: tuple[DocumentLine, ...]
    net: Decimal
    vat: Decimal
    gross: Decimal
    prepaid: Decimal = Decimal("0.00")
    account: Account | None = None
    due_on: date | None = None
    terms: str = ""
    notes: tuple[str, ...] = ()
    exemption_words: str = ""
    corrects: Corrected | None = None

    @property
    def type_code(self) -> str:
        return CREDIT_NOTE if self.corrects else INVOICE

    @property
    def payable(self) -> Decimal:
        """Below 0 where the deposit was larger."""
        return self.gross - self.prepaid

    @property
    def vat_groups(self) -> tuple[VatGroup, ...]:
        """In the order in which the lines name them."""
        keys = dict.fromkeys((line.category, line.percent) for line in self.lines)
        return tuple(self._group(category, percent) for category, percent in keys)

    def reason_of(self, group: VatGroup) -> str:
        """Why a group has no VAT; empty where none needs to be said."""
        return self.exemption_words if group.category in NEED_REASON else ""

    def _group(self, category: str, percent: Decimal) -> VatGroup:
        lines = [line for line in self.lines if (line.category, line.percent) == (category, percent)]
        net, vat = (
            sum(parts, Decimal("0.00")) for parts in zip(*((line.net, line.vat) for line in lines), strict=True)
        )
        return VatGroup(category, percent, net, vat)


def checked(document: Document) -> Document:
    """The document, once its sums agree to the penny. Raises BadInput naming the rule.

    The official rules let the VAT of a group be up to 1.00 off (BR-CO-17, BR-S-09), so pennies are looked at here. One
    penny is left: VAT that is taken out of a price with VAT is not always the same percentage of what remains. 99.99 at
    20 % holds 16.67, and 20 % of 83.32 are 16.66.

    >>> checked(Document(1, date(2026, 3, 10), date(2026, 3, 10), "GBP", Party("A", (), "GB"), Party("B", (), "GB"), (),
    ...     Decimal("1.00"), Decimal(0), Decimal("1.00")))
    Traceback (most recent call last):
    garage.core.errors.BadInput: ...
    """
    for rule, found, allowed in _disagreements(document):
        raise BadInput(f"{rule} of document {document.number}", found, f"{allowed}")
    return document


def _disagreements(document: Document) -> Iterator[tuple[str, Decimal, Decimal | str]]:
    groups = document.vat_groups
    nets = sum((line.net for line in document.lines), Decimal("0.00"))
    if not document.lines or nets != document.net:
        yield "BR-CO-10: the sum of lines", nets, document.net
    if document.vat != sum((group.vat for group in groups), Decimal("0.00")):
        yield "BR-CO-14: the VAT", document.vat, "the sum of its rates"
    if document.gross != document.net + document.vat:
        yield "BR-CO-15: the total with VAT", document.gross, document.net + document.vat
    for group in groups:
        due = to_penny(group.net * group.percent / 100)
        if abs(group.vat - due) > PENNY:
            yield f"BR-CO-17: the VAT at {group.percent.normalize():f} %", group.vat, due
    for line in document.lines:
        if to_penny(line.net_each * line.signed_quantity) != line.net:
            yield f"line {line.index}", line.net, "quantity times price"
