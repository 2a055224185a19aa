from diagnostics.core.asking.progress import USUALLY_ASKED, SheetMark, SheetProgress


def test_the_first_question_is_one_of_about_nine():
    progress = SheetProgress.of(done=0, number=1, has_more=True)
    assert (progress.about, progress.is_known) == (USUALLY_ASKED, False)
    assert progress.marks == (SheetMark.HERE, *[SheetMark.PERHAPS] * 8)


def test_the_question_beyond_the_usual_number_is_never_called_the_last_while_more_may_come():
    progress = SheetProgress.of(done=11, number=12, has_more=True)
    assert progress.about == 13
    assert progress.marks[-1] == SheetMark.PERHAPS


def test_an_open_question_may_bring_another_even_if_none_is_seen():
    assert not SheetProgress.of(done=6, number=7, has_more=False).is_known


def test_the_number_is_known_when_all_is_answered():
    progress = SheetProgress.of(done=7, number=0, has_more=False)
    assert (progress.about, progress.is_known) == (7, True)
    assert set(progress.marks) == {SheetMark.ANSWERED}


def test_going_back_shows_the_page_among_the_answered():
    progress = SheetProgress.of(done=5, number=2, has_more=True)
    assert [mark.value for mark in progress.marks[:6]] == [
        "answered", "here", "answered", "answered", "answered", "perhaps",
    ]  # fmt: skip
