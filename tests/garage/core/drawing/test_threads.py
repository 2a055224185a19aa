"""The drawing of a day: nothing lies on anything else, and it says what it is given."""

import re
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.drawing.sheet import Bar, DaySheet, Drawing, Label, Promise, Stop, Thread
from garage.core.drawing.stays import RIGHT
from garage.core.drawing.threads import BAR_PX, WIDTH, draw
from tests.garage.core.sheet_drawing import TRACKS, four_machines, twelve_machines

CAPITAL = 0.668  # height of a capital over the letter size in Atkinson Hyperlegible Next (its OS/2 table, sCapHeight)


def box(label: Label) -> tuple[float, float, float, float]:
    return label.x, label.y - 0.75 * label.size_px, label.x + label.width, label.y + 0.2 * label.size_px


def bar_box(bar: Bar) -> tuple[float, float, float, float]:
    return bar.x, bar.y, bar.x + bar.width, bar.y + bar.height


def overlaps(one, other) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def collisions(drawing: Drawing) -> list[tuple[str, str]]:
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
    spoilt = Drawing(**{f: getattr(drawing, f) for f in Drawing.__slots__} | {"labels": (*drawing.labels, moved)})
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
            stops.append(Stop(draw_from(st.sampled_from(TRACKS)), at, at + length, state, words))
            at += length + draw_from(st.integers(0, 40))
        machines.append(Thread(str(n), f"{n} Tarnhow 250, set-up", tuple(stops), n % 2 == 0))
        promises.append(Promise(str(n), "Rollers", draw_from(st.integers(480, 1050))))
    return DaySheet(
        "A day", TRACKS, tuple(machines), tuple(promises), now=draw_from(st.none() | st.integers(480, 1050))
    )


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
    assert len(drawing.curves) == len(sheet.threads) + len(sheet.promises)


def test_bars_are_no_thicker_than_the_letters():
    drawing = draw(twelve_machines())
    least = min(label.size_px for label in drawing.labels)
    assert {bar.height for bar in drawing.bars} == {BAR_PX}
    assert least * CAPITAL >= BAR_PX


def test_the_paper_grows_with_the_machines():
    assert draw(twelve_machines()).height > draw(four_machines()).height > draw(DaySheet("A day", TRACKS, ())).height


def test_time_runs_evenly_from_left_to_right():
    drawing = draw(four_machines())
    hours = [rule.x1 for rule in drawing.rules if rule.kind == "hour"]
    assert [label.text for label in drawing.labels if label.kind == "hour"] == [str(h) for h in range(8, 18)]
    assert all(b - a == pytest.approx(hours[1] - hours[0], abs=0.11) for a, b in pairwise(hours))
    (now,) = [rule for rule in drawing.rules if rule.kind == "now"]
    assert now.x1 == pytest.approx(hours[2] + (hours[3] - hours[2]) * 50 / 60, abs=0.2)


def test_work_under_way_is_black_up_to_now_and_pale_after():
    sheet = DaySheet(
        "A day", TRACKS, (Thread("42", "42", (Stop("Bench 1", 600, 700, "running", "42 look"),)),), now=650
    )
    done, planned = draw(sheet).bars
    assert (done.kind, planned.kind) == ("done", "planned")
    assert done.width == pytest.approx(planned.width, abs=0.11)
    assert done.x + done.width == pytest.approx(planned.x, abs=0.11)


def test_a_machine_in_doubt_has_a_broken_thread():
    kinds = [curve.kind for curve in draw(four_machines()).curves if curve.kind != "promise"]
    assert kinds == ["thread", "doubt", "thread", "thread"]


def test_a_thread_visits_the_bands_in_the_order_of_its_stops():
    drawing = draw(four_machines())
    names = {label.text: label.y for label in drawing.labels if label.kind == "name"}
    path = next(curve.d for curve in drawing.curves if curve.kind == "thread")
    yard, bench, rollers, collected = dict.fromkeys(float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", path))
    assert yard < names["Bench 1"] - 16
    assert abs(bench - names["Bench 1"]) < 20
    assert names["Bench 2"] < rollers < names["Collected"] - 20
    assert abs(collected - names["Collected"]) < 25


def test_a_stop_outside_the_opening_hours_widens_the_day():
    sheet = DaySheet("A day", TRACKS, (Thread("42", "42", (Stop("Bench 1", 400, 1200, "planned"),)),))
    (bar,) = draw(sheet).bars
    assert bar.x >= 150
    assert bar.x + bar.width <= RIGHT
    assert next(label.text for label in draw(sheet).labels if label.kind == "hour") == "6"
