"""What a refusal says, and the status of its page."""

import pytest

from garage.core.errors import BadInput, Refused, Unquoted


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (None, "is missing"),
        (0, "is 0"),
        ("", "is ''"),
        ("-3", "is '-3'"),
        (Unquoted("an empty file"), "is an empty file"),
        (Unquoted("x" * 60), f"is {'x' * 60}"),
        (Unquoted("x" * 61), f"is {'x' * 57}..."),
        ("x" * 58, f"is '{'x' * 58}'"),
        ("x" * 59, f"is '{'x' * 56}..."),
    ],
)
def test_what_was_typed_is_quoted_in_sixty_characters_at_most(found, said):
    refused = BadInput("stroke_mm", found, "a length above 0")
    assert str(refused) == refused.sentence == f"stroke_mm {said}; allowed is a length above 0."
    assert (refused.where, refused.found, refused.allowed) == ("stroke_mm", found, "a length above 0")


def test_a_change_that_is_not_possible_says_its_sentence_as_it_is():
    refused = Refused("The time has gone: choose another.")
    assert refused.sentence == "The time has gone: choose another."


def test_input_that_cannot_be_used_and_a_change_that_is_not_possible_have_the_statuses_of_the_standard():
    # RFC 9110, 15.5.21 and 15.5.10
    assert (BadInput("a", 1, "2").status, Refused("No.").status) == (422, 409)
