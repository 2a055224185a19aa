"""An estimate: its lines, what they come to by the invoice's own functions, and where it stands with its owner.

An estimate that its owner said yes to is a price that is agreed: more than it needs another yes. That is the garage's
own rule: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import Enum

from garage.core.errors import BadInput, Refused
from garage.core.money import pounds_words
from garage.core.text.languages import told, told_later
from garage.core.time.clock import day_in_words
from jobs.core.billing import hand_lines
from jobs.core.billing.charges import Charge
from jobs.core.billing.invoice import MOST_OF_A_PART, Totals, too_much, total_with_vat, total_without_vat

LABOUR, PART = "labour", "part"
KIND_WORDS = {LABOUR: "labour, in hours", PART: "part"} | hand_lines.KIND_WORDS
MOST_LINES = 60  # two printed pages
LONGEST_TEXT = 1000  # characters
LONGEST_VALID_DAYS = 365  # a price that stands for longer is a slip of the keys
USUALLY_VALID_DAYS = 30  # common practice, no source


class EstimateState(Enum):
    """Where an estimate stands. The value is in words."""

    DRAFT = "not issued yet"
    OPEN = told_later("not answered yet")
    YES = told_later("yes")
    NO = told_later("no")
    REPLACED = told_later("replaced by a later one")
    WITHDRAWN = told_later("withdrawn")
    RAN_OUT = told_later("ran out before it was answered")
    LAPSED = told_later("not answered before the work was over")

    @property
    def words(self) -> str:
        """For its owner."""
        return told(self.value)


@dataclass(frozen=True)
class EstimateLine:
    """One line as it was typed. kind: one of KIND_WORDS. quantity: hours of labour, else pieces, at most 9,999.

    price_each: pounds, VAT included, below 0 for money off. vat_percent: None is the shop's. exempt_why: of what is
    exempt from VAT, the rule; its rate is then 0. stock_id: of the shop's list of parts. key: tells lines apart.
    """

    key: str
    kind: str
    words: str
    quantity: Decimal
    price_each: Decimal
    vat_percent: Decimal | None = None
    exempt_why: str = ""
    stock_id: int | None = None

    @property
    def unit(self) -> str:
        return "h" if self.kind == LABOUR else ""

    @property
    def hand_kind(self) -> str:
        """What it is called among the lines that a person puts on an invoice."""
        return self.kind if self.kind in hand_lines.KIND_WORDS else hand_lines.EXTRA

    @property
    def goes_on_the_card(self) -> bool:
        """A part that is charged as the card charges parts: at the shop's rate."""
        return self.kind == PART and self.vat_percent is None and not self.exempt_why

    def charge(self, shop_percent: Decimal) -> Charge:
        """The line as an invoice would have it. Raises BadInput for what is no line of an invoice.

        >>> EstimateLine("a", "labour", "Bench labour", Decimal("1.5"), Decimal("54.00")).charge(Decimal(20)).line.gross
        Decimal('81.00')
        """
        percent = shop_percent if self.vat_percent is None else self.vat_percent
        if not (self.quantity.is_finite() and 0 < self.quantity <= MOST_OF_A_PART):
            raise BadInput("How many", self.quantity, f"more than 0, at most {MOST_OF_A_PART:,}")
        if self.kind not in KIND_WORDS:
            raise BadInput("Kind", self.kind, ", ".join(KIND_WORDS.values()))
        written = hand_lines.hand_line(
            self.hand_kind,
            self.words,
            self.quantity,
            self.price_each,
            vat_percent=percent,
            is_exempt=bool(self.exempt_why),
        )
        return Charge(written, self.unit)

    @property
    def as_kept(self) -> dict[str, object]:
        """As JSON keeps it, amounts as texts."""
        rate = None if self.vat_percent is None else str(self.vat_percent)
        return {
            "key": self.key,
            "kind": self.kind,
            "words": self.words,
            "quantity": str(self.quantity),
            "price_each": str(self.price_each),
            "own_rate": rate,
            "exempt_why": self.exempt_why,
            "stock_id": self.stock_id,
        }


def read_kept(kept: Mapping[str, object]) -> EstimateLine:
    """The line again from what `as_kept` made.

    >>> line = EstimateLine("a", "part", "Coil", Decimal(1), Decimal("64.00"), Decimal(5))
    >>> read_kept(line.as_kept) == line
    True
    """
    rate, stock_id = kept["own_rate"], kept["stock_id"]
    return EstimateLine(
        key=str(kept["key"]),
        kind=str(kept["kind"]),
        words=str(kept["words"]),
        quantity=Decimal(str(kept["quantity"])),
        price_each=Decimal(str(kept["price_each"])),
        vat_percent=None if rate is None else Decimal(str(rate)),
        exempt_why=str(kept["exempt_why"]),
        stock_id=stock_id if isinstance(stock_id, int) else None,
    )


def totals_of(lines: Sequence[EstimateLine], *, shop_percent: Decimal, is_registered: bool) -> Totals:
    """What they come to, by the functions that total an invoice.

    Raises BadInput for a line that is none, Refused for no lines, too many, too much, or more off than the rest.

    >>> totals_of([], shop_percent=Decimal(20), is_registered=True)
    Traceback (most recent call last):
    garage.core.errors.Refused: There is nothing on the estimate: put at least one line on it.
    """
    if not lines:
        raise Refused("There is nothing on the estimate: put at least one line on it.")
    if len(lines) > MOST_LINES:
        raise Refused(f"An estimate takes at most {MOST_LINES} lines: put some of them together.")
    total = total_with_vat if is_registered else total_without_vat
    totals = total([line.charge(shop_percent).line for line in lines])
    if why := too_much(totals):
        raise Refused(why)
    return totals


def check_valid_until(day: date, *, today: date) -> None:
    """Raises BadInput for a day that is past, or further off than anybody means."""
    if not 0 <= (day - today).days <= LONGEST_VALID_DAYS:
        raise BadInput("Valid until", day_in_words(day), "today or a day within a year from now")


@dataclass(frozen=True)
class EstimateFacts:
    """What is known of one. answer: "yes", "no" or empty. is_over: the card is closed, or the visit. day: on which its
    owner answers, or looks.
    """

    name: str
    is_issued: bool
    answer: str
    is_replaced: bool
    is_withdrawn: bool
    is_over: bool
    valid_until: date | None
    day: date


def standing(facts: EstimateFacts) -> EstimateState:
    """A yes stands until a later estimate has one."""
    if facts.is_withdrawn:
        return EstimateState.WITHDRAWN
    if not facts.is_issued:
        return EstimateState.DRAFT
    if facts.is_replaced:
        return EstimateState.REPLACED
    if facts.answer:
        return EstimateState.YES if facts.answer == "yes" else EstimateState.NO
    if facts.is_over:
        return EstimateState.LAPSED
    if facts.valid_until and facts.day > facts.valid_until:
        return EstimateState.RAN_OUT
    return EstimateState.OPEN


def why_not_answer(facts: EstimateFacts, telephone: str) -> str:
    """Why this estimate takes no answer. Empty if it does."""
    stands, name = standing(facts), facts.name
    if stands in {EstimateState.YES, EstimateState.NO}:
        return told(
            "{name} was answered already: {answer}. To change that, ring {telephone}.",
            name=name,
            answer=stands.words,
            telephone=telephone,
        )
    until = day_in_words(facts.valid_until) if facts.valid_until else ""
    return {
        EstimateState.OPEN: "",
        EstimateState.DRAFT: told("It is not issued yet."),
        EstimateState.REPLACED: told("{name} is replaced by a later estimate: answer that one.", name=name),
        EstimateState.WITHDRAWN: told(
            "{name} was withdrawn: ring {telephone} for a new one.", name=name, telephone=telephone
        ),
        EstimateState.RAN_OUT: told(
            "{name} was valid until {until}: ring {telephone} and ask for it anew.",
            name=name,
            until=until,
            telephone=telephone,
        ),
        EstimateState.LAPSED: told("The work is over, so there is nothing to answer on {name} any more.", name=name),
    }[stands]


def why_not_take_over(stands: EstimateState, *, is_taken: bool, name: str) -> str:
    """Why its lines are not put on card and invoice. Empty if they may be: of a yes alone, and once."""
    if is_taken:
        return f"The lines of {name} are on card and invoice already."
    return "" if stands is EstimateState.YES else f"{name}: {stands.value}. Its lines are taken over after a yes."


def consent_words(name: str, text: str, gross: Decimal) -> str:
    """What its owner said yes to, in a sentence.

    >>> consent_words("Estimate E4", "New seals.", Decimal("212.00"))
    'Estimate E4, £212.00 in all: New seals.'
    """
    return f"{name}, {pounds_words(gross)} in all{f': {text}' if text else ''}"
