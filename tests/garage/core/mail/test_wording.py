import re

import pytest

from garage.core.errors import BadInput
from garage.core.mail.reminders import DAY_BEFORE, INVOICE_DUE, SHEET_EARLY
from garage.core.mail.wording import LONGEST_SUBJECT, MEANS, READY, WORDED, check_wording, filled_in


def refused(what=READY, subject="Ready", text="Hello {owner}"):
    with pytest.raises(BadInput) as caught:
        check_wording(what, subject=subject, text=text)
    return caught.value.where, caught.value.sentence


@pytest.mark.parametrize("what", WORDED)
def test_what_is_delivered_passes_its_own_check_and_names_every_placeholder(what):
    worded = WORDED[what]
    check_wording(what, subject=worded.subject, text=worded.text)
    assert set(worded.placeholders) <= set(MEANS)
    assert not re.search(r"[ \t]$|\n{3}", worded.text, re.MULTILINE)


def test_an_unknown_placeholder_is_named_with_those_that_are_allowed():
    where, said = refused(text="Hello {ownr}")
    assert where == "text"
    assert said == (
        "The text has {ownr}, which is no placeholder of this message: allowed are {owner}, {machine}, {visit}, "
        "{kind}, {visit_link}, {shop} and {telephone}."
    )


def test_a_placeholder_of_another_message_is_unknown_here_also_in_the_subject():
    assert refused(subject="Invoice {invoice}")[0] == "subject"
    check_wording(INVOICE_DUE, subject="Invoice {invoice}", text="{invoice}: {to_pay}")


@pytest.mark.parametrize(
    "text", ["Hello {owner", "Hello owner}", "{owner} {{machine}", "{}", "{owner!r}", "{0}", "{a\nb}"]
)
def test_a_brace_without_its_other_and_everything_that_is_no_name_are_refused_in_one_sentence(text):
    where, said = refused(text=text)
    assert where == "text"
    assert said.startswith("The text has ")
    assert said.endswith(".")
    assert "\n" not in said


def test_a_message_needs_what_it_is_about():
    assert refused(SHEET_EARLY, text="Please fill in the sheet.") == (
        "text",
        "The text leaves out {sheet_link}, the link to the check sheet: the message needs it.",
    )
    assert refused(DAY_BEFORE, text="See you tomorrow!")[1].startswith("The text leaves out {when}")


def test_empty_and_too_long_are_said():
    assert refused(text=" ")[1] == "The text is empty: write something, or switch the message off."
    assert refused(subject="x" * (LONGEST_SUBJECT + 1))[1] == "The subject has 151 characters: at most 150 are allowed."


def test_values_are_filled_in_once_and_one_that_is_missing_stays_as_it_is():
    assert filled_in("{owner}, {owner}: {when}", {"owner": "{when}"}) == "{when}, {when}: {when}"
