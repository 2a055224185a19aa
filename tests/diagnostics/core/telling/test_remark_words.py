"""Every remark has its words, and those that are rung about their question."""

from __future__ import annotations

from diagnostics.core.remarks import REMARKS
from diagnostics.core.telling.remark_words import REMARK_WORDS, TO_ASK_WORDS, remark_words


def test_every_remark_has_words_and_all_but_the_leak_a_question_for_the_telephone() -> None:
    assert tuple(REMARK_WORDS) == REMARKS
    assert set(TO_ASK_WORDS) == set(REMARKS) - {"leaks-petrol"}
    assert all(words.endswith("?") for words in TO_ASK_WORDS.values())


def test_a_remark_of_another_edition_is_shown_as_it_is() -> None:
    assert remark_words("rusty") == "rusty"
