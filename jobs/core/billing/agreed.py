"""What an owner has agreed to pay, and what waits for a yes: one rule for card, request and invoice.

Agreed are the booked price of a session that is charged, the limit up to which nobody asks (parts included), and each
recorded yes. An estimate that was said yes to takes the limit's place. The rule is the garage's own: common practice,
no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import Enum

from garage.core.money import pounds_words
from garage.core.text.languages import told, told_later
from jobs.core.billing.invoice import NOTHING

LONGEST_ASKED, LONGEST_WHY = 1000, 200  # characters


class AskedState(Enum):
    """Where a request to the owner stands. The value is in words."""

    OPEN = told_later("not answered yet")
    YES = told_later("yes")
    NO = told_later("no")
    REPLACED = "asked anew"
    LAPSED = "not answered before the work was over"


@dataclass(frozen=True)
class Agreed:
    """Pounds, VAT included. booked: the price of the session, 0 if it is not charged. limit: bench work and parts that
    nobody asks about; 0 once the owner said yes to an estimate, which says that no more is done without another yes.
    yeses: prices that the owner said yes to. let_through: what a person let the invoice come to besides that session, 0
    if nobody did.
    """

    booked: Decimal
    limit: Decimal
    yeses: tuple[Decimal, ...] = ()
    let_through: Decimal = NOTHING

    @property
    def total(self) -> Decimal:
        """What the owner agreed to. What a person let through is no agreement.

        >>> Agreed(Decimal("120.00"), Decimal(80), (Decimal("45.50"),), let_through=Decimal("900.00")).total
        Decimal('245.50')
        """
        return self.booked + self.limit + sum(self.yeses, NOTHING)

    def above(self, stands: Decimal) -> Decimal:
        """Pounds of stands, what the card comes to, that nobody has agreed to.

        >>> Agreed(Decimal("120.00"), Decimal(80)).above(Decimal("230.00"))
        Decimal('30.00')
        """
        return max(NOTHING, stands - self.total)

    def why_not_issue(self, gross: Decimal) -> str:
        """Why an invoice of this sum may not be issued. Empty if it may.

        >>> Agreed(Decimal("120.00"), Decimal(80), let_through=Decimal("110.00")).why_not_issue(Decimal("230.00"))
        ''
        """
        if gross <= max(self.total, self.booked + self.let_through):
            return ""
        return (
            f"The invoice comes to {pounds_words(gross)}, and the owner agreed to {pounds_words(self.total)}: "
            f"{pounds_words(self.above(gross))} more. Ask the owner, or say why it goes above that."
        )


def standing(*, answer: str, is_replaced: bool, is_over: bool) -> AskedState:
    """answer: "yes", "no", "lapsed" or empty. is_over: the card is closed, or the visit.

    >>> standing(answer="", is_replaced=False, is_over=True).value
    'not answered before the work was over'
    """
    if answer:
        return {"yes": AskedState.YES, "no": AskedState.NO, "lapsed": AskedState.LAPSED}[answer]
    if is_replaced:
        return AskedState.REPLACED
    return AskedState.LAPSED if is_over else AskedState.OPEN


def why_not_answer(number: int, stands: AskedState, telephone: str) -> str:
    """Why this request takes no answer. Empty if it does.

    >>> why_not_answer(41, AskedState.OPEN, "01632 960100")
    ''
    """
    if stands is AskedState.REPLACED:
        return told("The price has changed since, so it was asked anew: answer that one.")
    if stands in {AskedState.YES, AskedState.NO}:
        return told(
            "It was answered already: {answer}. To change that, ring {telephone} about visit {number}.",
            answer=told(stands.value),
            telephone=telephone,
            number=number,
        )
    if stands is AskedState.LAPSED:
        return told("The work on visit {number} is over, so there is nothing to answer any more.", number=number)
    return ""


def said_at(heard_at: datetime, *, asked_at: datetime) -> datetime:
    """When it was said, typed to the minute: within the minute in which it was asked, not before that.

    >>> asked = datetime(2026, 3, 10, 9, 30, 20)
    >>> said_at(asked.replace(second=0), asked_at=asked) == asked
    True
    """
    is_that_minute = heard_at >= asked_at.replace(second=0, microsecond=0)
    return max(heard_at, asked_at) if is_that_minute else heard_at
