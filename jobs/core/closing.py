"""When a card may be closed. The rule is the garage's own: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ToClose:
    """A card that somebody wants to close. booked: what was booked, in lower case; at: where, "rollers" or "bench".

    has_begun: whether the booked work has begun. has_cause: whether the card says what it was. nothing_wrong: whether
    it is to be closed with that.
    """

    number: int
    booked: str
    at: str
    has_begun: bool
    has_cause: bool
    nothing_wrong: bool


def why_not_close(card: ToClose) -> str:
    """The sentence that says what is missing; empty if the card can be closed.

    >>> why_not_close(ToClose(41, "set-up", "rollers", has_begun=True, has_cause=False, nothing_wrong=True))
    ''
    """
    if card.nothing_wrong and card.has_cause:
        return 'This card has a cause: close it with that, or withdraw it before "nothing wrong".'
    if not card.has_begun and not card.has_cause:
        return (
            f"The {card.booked} of visit {card.number} has not begun: begin it on the day sheet, or say on the card "
            f"what kept it off the {card.at}. Then close the card."
        )
    if not card.nothing_wrong and not card.has_cause:
        return 'A card needs a cause or "nothing wrong" before it can be closed.'
    return ""
