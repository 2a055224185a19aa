"""On any day nothing of the drawing lies on anything else, and all of it lies on its paper."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.drawing.sheet import Bar, DayDrawing, DaySheet, Label, Promise, Rest, Stop, Thread
from garage.core.drawing.threads import WIDTH, draw
from tests.garage.core.sheet_drawing import TRACKS, four_machines, twelve_machines


def box(label: Label) -> tuple[float, float, float, float]:
    return label.x, label.y - 0.75 * label.size_px, label.x + label.width, label.y + 0.2 * label.size_px


def bar_box(bar: Bar) -> tuple[float, float, float, float]:
    return bar.x, bar.y, bar.x + bar.width, bar.y + bar.height


def overlaps(one, other) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def collisions(drawing: DayDrawing) -> list[tuple[str, str]]:
    labels = [(label.text, box(label)) for label in drawing.labels]
    bars = [(f"{bar.kind} bar at {bar.x}", bar_box(bar)) for bar in drawing.bars]
    found = [(a, b) for (a, one), (b, other) in combinations(labels, 2) if overlaps(one, other)]
    return found + [(a, b) for a, one in labels for b, other in bars if overlaps(one, other)]


@pytest.mark.parametrize("sheet", [four_machines(), twelve_machines()], ids=["four", "twelve"])
def test_no_two_labels_and_no_label_and_bar_lie_on_each_other(sheet):
    assert collisions(draw(sheet)) == []


def test_the_collision_test_sees_two_labels_on_one_spot():
    drawing = draw(four_machines())
    one = next(label for label in drawing.labels if label.kind == "what")
    moved = Label(one.x + 3, one.y + 2, "another", "what", 13, 40)
    spoilt = DayDrawing(**{f: getattr(drawing, f) for f in DayDrawing.__slots__} | {"labels": (*drawing.labels, moved)})
    assert collisions(spoilt)


@st.composite
def sheets(draw_from):
    machines, promises = [], []
    for n in range(draw_from(st.integers(0, 12))):
        at, stops = draw_from(st.integers(420, 900)), []
        for _ in range(draw_from(st.integers(1, 6))):
            length = draw_from(st.integers(1, 120))
            state = draw_from(st.sampled_from(["waiting", "planned", "running", "done"]))
            words = draw_from(
                st.sampled_from(["", f"{n} gate", f"{n} fix first: ceiling on its stand at 5 200 and stutters"])
            )
            was = draw_from(st.none() | st.integers(420, 1050)) if state == "planned" else None
            stops.append(Stop(draw_from(st.sampled_from(TRACKS)), at, at + length, state, words, was))
            at += length + draw_from(st.integers(0, 40))
        odds = draw_from(st.sampled_from(["", "about 6 in 10 pass", "hardly one in 10 passes"]))
        machines.append(Thread(str(n), f"{n} Tarnhow 250, set-up", tuple(stops), odds))
        promises.append(Promise(str(n), "Rollers", draw_from(st.integers(480, 1050))))
    rests = draw_from(
        st.lists(st.builds(rest, st.integers(480, 960), st.sampled_from(["dinner", "Jo away"])), max_size=3)
    )
    now = draw_from(st.none() | st.integers(480, 1050))
    return DaySheet("A day", TRACKS, tuple(machines), tuple(promises), tuple(rests), now)


def rest(begin: int, words: str) -> Rest:
    return Rest(begin, begin + 30, words)


@settings(max_examples=60, deadline=None)
@given(sheets())
def test_any_day_is_drawn_without_collisions_and_inside_its_paper(sheet):
    drawing = draw(sheet)
    assert collisions(drawing) == []
    for label in drawing.labels:
        left, top, right, foot = box(label)
        assert left >= 0
        assert top >= 0
        assert right <= WIDTH
        assert foot <= drawing.height
    moved = sum(stop.was is not None for thread in sheet.threads for stop in thread.stops)
    assert (
        len(sheet.threads) + len(sheet.promises)
        <= len(drawing.curves)
        <= len(sheet.threads) + len(sheet.promises) + 2 * moved
    )
