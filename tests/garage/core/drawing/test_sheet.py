"""The day in words says every mark of the drawing."""

from garage.core.drawing.sheet import in_words
from garage.core.drawing.threads import draw
from tests.garage.core.sheet_drawing import four_machines, twelve_machines


def test_the_list_is_in_time_order_and_names_every_stop_promise_break_and_now():
    for sheet in (four_machines(), twelve_machines()):
        lines = in_words(sheet)
        assert [line.minute for line in lines] == sorted(line.minute for line in lines)
        marks = sum(len(thread.stops) for thread in sheet.threads) + len(sheet.promises) + len(set(sheet.rests)) + 1
        assert len(lines) == marks
        assert draw(sheet).lines == lines


def test_each_kind_of_mark_has_its_words():
    said = [f"{line.clock} {line.text}" for line in in_words(four_machines())]
    for sentence in (
        "08:30 41 Corrick 185, set-up: in the yard, until 08:45.",
        "09:00 41: rollers, set-up, done, until 10:30.",
        "09:30 42 Tarnhow 250, set-up: in the yard, until 10:05. Readiness in doubt.",
        "10:20 42: bench 1, fix first: ceiling at 5 200, under way, until 12:10.",
        "10:50 Now.",
        "12:30 Dinner until 13:00.",
        "13:30 44 is promised the rollers.",
        "15:00 42: rollers, set-up, if it passes, planned, until 16:30.",
    ):
        assert sentence in said
