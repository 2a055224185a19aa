from __future__ import annotations

import pytest

from jobs.core.closing import ToClose, why_not_close

NOT_BEGUN = (
    "The set-up of visit 41 has not begun: begin it on the day sheet, or say on the card what kept it off the rollers. "
    "Then close the card."
)


@pytest.mark.parametrize(
    ("has_begun", "has_cause", "nothing_wrong", "why"),
    [
        (True, True, False, ""),
        (True, False, True, ""),
        (False, True, False, ""),
        (True, False, False, 'A card needs a cause or "nothing wrong" before it can be closed.'),
        (True, True, True, 'This card has a cause: close it with that, or withdraw it before "nothing wrong".'),
        (False, True, True, 'This card has a cause: close it with that, or withdraw it before "nothing wrong".'),
        (False, False, True, NOT_BEGUN),
        (False, False, False, NOT_BEGUN),
    ],
)
def test_a_card_is_closed_with_what_was_wrong_or_with_booked_work_that_has_begun(
    has_begun: bool, has_cause: bool, nothing_wrong: bool, why: str
) -> None:
    card = ToClose(41, "set-up", "rollers", has_begun=has_begun, has_cause=has_cause, nothing_wrong=nothing_wrong)
    assert why_not_close(card) == why
