"""The drawing of a day says what it is given, each mark in its place. test_collisions.py has the days by chance."""

import re
from itertools import pairwise
from math import ceil

import pytest

from garage.core.drawing.sheet import DayDrawing, DaySheet, Promise, Rest, Stop, Thread
from garage.core.drawing.stays import RIGHT
from garage.core.drawing.text_width import text_px
from garage.core.drawing.threads import BAR_PX, draw
from tests.garage.core.sheet_drawing import TRACKS, four_machines, twelve_machines

CAPITAL = 0.668  # height of a capital over the letter size in Atkinson Hyperlegible Next (its OS/2 table, sCapHeight)


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
    assert (done.kind, planned.kind) == ("running", "planned")
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


# By hand: the paper's minutes 480 to 1050 run from x 150 to x 1240, so a minute is 1090 / 570 = 1.9123 pixels.
# The bands begin at y 46 and are 46 high while nothing needs more; a lane begins 7 below the rim of its band.
PLACES = ("In the yard", "Bench 1", "Rollers", "Collected")


def drawn(*stops: Stop, **changed: object) -> DayDrawing:
    threads = (Thread("41", "41 CX", stops),) if stops else ()
    return draw(DaySheet(**{"title": "A day", "tracks": PLACES, "threads": threads} | changed))


def ruled(drawing: DayDrawing, kind: str) -> list[tuple[float, ...]]:
    return [(rule.x1, rule.y1, rule.x2, rule.y2) for rule in drawing.rules if rule.kind == kind]


def written(drawing: DayDrawing, kind: str) -> list[tuple[str, float, float]]:
    return [(label.text, label.x, label.y) for label in drawing.labels if label.kind == kind]


def barred(drawing: DayDrawing) -> list[tuple[str, float, float, float]]:
    return [(bar.kind, bar.x, bar.width, bar.y) for bar in drawing.bars]


def test_an_empty_day_has_a_band_for_each_track_with_its_name_in_the_middle():
    drawing = drawn(now=540)
    assert (drawing.title, drawing.width, drawing.height) == ("A day", 1240 + 56, 46 + 4 * 46 + 8)
    assert drawing.description.startswith("0 machines as threads over 4 tracks")
    assert ruled(drawing, "rim") == [(12, y, 1240, y) for y in (92, 138, 184)]
    assert ruled(drawing, "track") == [(150, y, 1240, y) for y in (115, 161)]
    assert written(drawing, "name") == [
        (name, 12, round(y + 16 / 3, 1)) for name, y in zip(PLACES, (69, 115, 161, 207), strict=True)
    ]
    assert (drawing.curves, drawing.bars, drawing.rests) == ((), (), ())


def test_hours_and_now_are_ruled_from_the_top_to_the_foot():
    drawing = drawn(now=540)
    assert ruled(drawing, "hour") == [
        (round(150 + 1090 / 570 * 60 * n, 1), 36, round(150 + 1090 / 570 * 60 * n, 1), 230) for n in range(10)
    ]
    assert [(text, y) for text, _, y in written(drawing, "hour")] == [(str(hour), 20) for hour in range(8, 18)]
    eight = next(label for label in drawing.labels if label.kind == "hour")
    assert (eight.size_px, eight.x + eight.width / 2) == (14, pytest.approx(150, abs=0.1))
    assert ruled(drawing, "now") == [(264.7, 25, 264.7, 230)]
    assert written(drawing, "now") == [("now 09:00", 272.7, 36)]
    assert ruled(drawn(), "now") == written(drawn(), "now") == []
    assert [text for text, _, _ in written(drawn(closes=1080), "hour")][-1] == "18"


def test_a_thread_runs_along_its_lanes_and_crosses_fourteen_pixels_before_its_next_stop():
    drawing = drawn(Stop("In the yard", 510, 525), Stop("Rollers", 540, 630, "done", "41 set-up"))
    yard, rollers = 46 + 7 + 19 - 2, 138 + 7 + 27 - 4 - 2
    assert [(curve.kind, curve.d) for curve in drawing.curves] == [
        (
            "thread",
            f"M207.4 {yard}.0 L250.7 {yard}.0 C257.7 {yard}.0 257.7 {rollers}.0 264.7 {rollers}.0 L436.8 {rollers}.0",
        )
    ]
    assert barred(drawing) == [("done", 264.7, 172.1, rollers - 4)]
    assert written(drawing, "who") == [("41 CX", 207.4, 46 + 7 + 19 - 6)]
    assert written(drawing, "what") == [("41 set-up", 265.7, 138 + 7 + 27 - 8 - 6)]
    assert ruled(drawing, "track") == [(150, 115, 1240, 115), (150, rollers, 1240, rollers)]


def test_a_crossing_begins_no_earlier_than_the_stay_it_leaves():
    drawing = drawn(Stop("Bench 1", 535, 540, "done"), Stop("Rollers", 540, 630, "done"))
    assert drawing.curves[0].d.startswith("M255.2 120.0 L255.2 120.0 C260.0 120.0 260.0 166.0 264.7 166.0")


def test_a_thread_ends_with_its_longest_stop():
    drawing = drawn(Stop("Rollers", 480, 1050, "planned"), Stop("Rollers", 500, 510, "planned"))
    assert drawing.curves[0].d.endswith("L1240.0 166.0")


def test_a_machine_without_stops_has_no_thread():
    drawing = draw(
        DaySheet("A day", PLACES, (Thread("41", "41", ()), Thread("42", "42", (Stop("Rollers", 540, 630),))))
    )
    assert len(drawing.curves) == 1


def test_a_lane_without_bars_and_words_is_nine_pixels_high():
    yard = Stop("In the yard", 520, 600)
    drawing = drawn(Stop("Bench 1", 480, 500, "done"), yard, Stop("Bench 1", 600, 620, "done"), yard)
    assert f"L365.5 {46 + 7 + 4.5}" in drawing.curves[0].d


def test_a_lane_with_the_end_of_a_thread_has_room_for_its_number_beside_the_line():
    drawing = drawn(Stop("Bench 1", 480, 500, "done"), Stop("In the yard", 520, 600))
    assert drawing.curves[0].d.endswith(f"L379.5 {46 + 7 + 7}.0")
    assert written(drawing, "end") == [("41", 384.5, 46 + 7 + 7 + 4)]


def test_machines_in_one_place_have_a_lane_each_and_the_band_grows():
    threads = tuple(Thread(str(n), str(n), (Stop("Bench 1", 540, 600, "planned", str(n)),)) for n in (41, 42, 43))
    drawing = draw(DaySheet("A day", PLACES, threads))
    first = 92 + 7 + 27 - 4 - 2
    assert [bar.y for bar in drawing.bars] == [first - 4, first - 4 + 27, first - 4 + 54]
    assert [y for _, _, y in written(drawing, "who")] == [first - 8, first + 27 - 8, first + 54 - 8]
    assert ruled(drawing, "track") == [
        (150, first, 1240, first),
        *[(150, y, 1240, y) for y in (92 + 7 + 81 + 7 + 23,)],
    ]
    assert [y for _, y, _, _ in ruled(drawing, "rim")] == [92, 92 + 95, 92 + 95 + 46]
    assert drawing.height == 46 + 46 + 95 + 46 + 46 + 8
    assert written(drawing, "name")[1] == ("Bench 1", 12, round(92 + 95 / 2 + 16 / 3, 1))


def test_a_machine_named_above_its_work_has_a_lane_that_is_fifteen_pixels_higher():
    drawing = drawn(Stop("Bench 1", 540, 600, "planned", "gate"))
    line = 92 + 7 + 15 + 27 - 4 - 2
    assert barred(drawing) == [("planned", 264.7, 114.7, line - 4)]
    assert written(drawing, "what") == [("gate", 265.7, line - 8)]
    assert written(drawing, "who") == [("41 CX", 264.7, line - 8 - 15)]


def lanes(*begins: int, ends: int = 600) -> list[tuple[float, float, float]]:
    """x, width and y of the bars of machines at one bench, the first of them from eight o'clock."""
    first = Thread("41", "41", (Stop("Bench 1", 480, ends, "planned"),))
    others = [
        Thread(str(n), str(n), (Stop("In the yard", 480, 490), Stop("Bench 1", begin, begin + 60, "planned")))
        for n, begin in enumerate(begins, 42)
    ]
    return [(bar.x, bar.width, bar.y) for bar in draw(DaySheet("A day", PLACES, (first, *others))).bars]


def test_one_machine_after_another_is_on_one_line_with_two_pixels_between_their_bars():
    (x, width, y), (next_x, _, next_y) = lanes(600)
    assert y == next_y
    assert (x, width, next_x) == (150, pytest.approx(120 * 1090 / 570 - 2, abs=0.1), pytest.approx(379.5, abs=0.1))


def test_one_machine_upon_another_has_a_lane_of_its_own():
    assert len({y for _, _, y in lanes(599)}) == 2


def test_crossings_that_would_lie_on_each_other_stand_five_pixels_apart():
    threads = tuple(
        Thread(str(n), str(n), (Stop("In the yard", 480, 540), Stop(place, 540, 600, "planned")))
        for n, place in ((41, "Bench 1"), (42, "Rollers"))
    )
    bends = [
        re.search(r"C[\d. ]+? ([\d.]+) [\d.]+ L", curve.d) for curve in draw(DaySheet("A", PLACES, threads)).curves
    ]
    assert [float(bend[1]) for bend in bends] == [264.7, 259.7]


def test_places_are_no_stations_and_have_no_ruled_track():
    drawing = drawn(Stop("In the yard", 510, 525), Stop("Collected", 540, 600))
    assert ruled(drawing, "track") == [(150, 115, 1240, 115), (150, 161, 1240, 161)]


def test_a_long_name_of_a_track_is_shortened_before_the_first_minute():
    drawing = draw(DaySheet("A day", ("In the yard", "Bench beside the big doors", "Collected"), ()))
    name = next(label for label in drawing.labels if label.text.startswith("Bench"))
    assert name.text.endswith("…")
    assert 150 - 9 - 16 < name.x + name.width <= 150 - 9


def test_promises_have_rows_below_their_station_in_order_of_time_with_an_arrow_each():
    promises = (Promise("42", "Rollers", 560), Promise("41", "Rollers", 540), Promise("43", "Rollers", 900))
    drawing = drawn(promises=promises)
    assert written(drawing, "mark") == [
        ("41 promised 09:00", 272.7, 184 + 10),
        ("42 promised 09:20", 311.0, 184 + 18 + 10),
        ("43 promised 15:00", 961.2, 184 + 10),
    ]
    assert [curve.d for curve in drawing.curves] == [
        "M264.7 195.0 v-13 m-5 5 l5 -5 l5 5",
        "M303.0 213.0 v-13 m-5 5 l5 -5 l5 5",
        "M953.2 195.0 v-13 m-5 5 l5 -5 l5 5",
    ]
    assert {curve.kind for curve in drawing.curves} == {"promise"}
    assert ruled(drawing, "rim")[-1][1] == 184 + 2 * 18
    assert drawing.height == 238 + 2 * 18


def test_two_promises_share_a_row_with_fourteen_pixels_for_each_arrow():
    width = text_px("41 promised 09:00", 13)

    minutes = ceil((width + 14 + 9 + 14) * 570 / 1090)

    def rows(apart_min: int) -> int:
        marks = (Promise("41", "Rollers", 540), Promise("42", "Rollers", 540 + apart_min))
        return (drawn(promises=marks).height - 238) // 18

    assert (rows(minutes), rows(minutes - 1)) == (1, 2)


def test_two_promises_at_one_minute_stand_in_order_of_their_numbers():
    drawing = drawn(promises=(Promise("42", "Bench 1", 540), Promise("41", "Bench 1", 540)))
    assert [(text[:2], y) for text, _, y in written(drawing, "mark")] == [("41", 138 + 10), ("42", 138 + 28)]


def test_a_break_is_a_column_across_all_stations_with_its_words_below_in_the_middle():
    drawing = drawn(rests=(Rest(750, 780),), promises=(Promise("41", "Rollers", 540),))
    assert [(rest.x, rest.y, rest.width, rest.height, rest.kind) for rest in drawing.rests] == [
        (666.3, 92, 57.4, 138 + 46 + 18 - 92, "rest")
    ]
    dinner = next(label for label in drawing.labels if label.text == "dinner")
    assert (dinner.kind, dinner.y, dinner.size_px) == ("mark", 202 + 13, 13)
    assert dinner.x + dinner.width / 2 == pytest.approx((666.3 + 723.7) / 2, abs=0.1)
    assert drawing.height == 238 + 18 + 18


def test_breaks_at_one_time_share_a_column_and_their_words_and_overlapping_words_have_rows():
    rests = (Rest(780, 790, "tea"), Rest(750, 780, "dinner, Sam"), Rest(750, 780), Rest(750, 780))
    drawing = drawn(rests=rests)
    assert [(rest.x, rest.width) for rest in drawing.rests] == [(666.3, 57.4), (723.7, 19.1)]
    assert [(text, y) for text, _, y in written(drawing, "mark")] == [
        ("dinner, dinner, Sam", 184 + 13),
        ("tea", 184 + 31),
    ]
    assert drawing.height == 238 + 2 * 18


def test_the_words_of_a_break_stay_on_the_paper():
    drawing = drawn(rests=(Rest(480, 485, "a long dinner"), Rest(1045, 1050, "a long dinner")))
    left, right = (label for label in drawing.labels if label.kind == "mark")
    assert left.x == 150
    assert right.x + right.width == pytest.approx(1240, abs=0.1)


@pytest.mark.parametrize(
    ("now", "bars"),
    [
        (650, [("running", 600, 650), ("planned", 650, 700)]),
        (601, [("running", 600, 601), ("planned", 601, 700)]),
        (600, [("planned", 600, 700)]),
        (500, [("planned", 600, 700)]),
        (None, [("planned", 600, 700)]),
        (700, [("running", 600, 700)]),
        (800, [("running", 600, 700)]),
    ],
)
def test_running_work_is_black_up_to_now_within_its_own_time(now, bars):
    def x(minute: int) -> float:
        return 150 + (minute - 480) * 1090 / 570

    drawing = drawn(Stop("Bench 1", 600, 700, "running"), now=now)
    assert [(kind, left, left + width) for kind, left, width, _ in barred(drawing)] == [
        (kind, pytest.approx(x(begin), abs=0.1), pytest.approx(x(end), abs=0.2)) for kind, begin, end in bars
    ]


def test_waiting_has_no_bar_and_work_that_is_done_or_planned_has_one():
    for state, kinds in (("waiting", []), ("done", ["done"]), ("planned", ["planned"])):
        assert [bar.kind for bar in drawn(Stop("Bench 1", 600, 700, state), now=650).bars] == kinds


def test_moved_work_has_an_upright_where_it_stood_and_dots_from_there_to_where_it_begins():
    """By hand: 10:00 is 60 minutes past 9:00, which is 114.7 pixels; the bar's line is 21 below its lane's top."""
    drawing = drawn(Stop("Bench 1", 600, 660, "planned", "gate, Jo, was 09:00", was=540))
    (bar,) = drawing.bars
    y = bar.y + BAR_PX / 2
    marks = {curve.kind: curve.d for curve in drawing.curves}
    assert marks["was"] == f"M264.7 {y - 7:.1f} v14"
    assert marks["slip"] == f"M264.7 {y - 7:.1f} L379.5 {y - 7:.1f}"
    assert bar.x == pytest.approx(379.5, abs=0.06)


def test_the_mark_of_moved_work_is_on_a_lane_of_its_own_and_on_the_paper():
    """Another machine is on the bench where the moved one stood: they share no lane."""
    early = Thread("42", "42 CX", (Stop("Bench 1", 480, 560, "planned", "42 gate"),))
    moved = Thread("41", "41 CX", (Stop("Bench 1", 700, 760, "planned", "41 gate", was=420),))
    drawing = draw(DaySheet("A day", PLACES, (early, moved)))
    one, other = (bar.y for bar in drawing.bars)
    assert one != other
    (at,) = (float(re.match(r"M([\d.]+)", curve.d).group(1)) for curve in drawing.curves if curve.kind == "was")
    assert at >= 150


def test_how_many_pass_stands_beside_the_name_of_a_machine_in_doubt():
    doubt = Thread("41", "41 CX", (Stop("In the yard", 510, 525),), odds="about 6 in 10 pass")
    drawing = draw(DaySheet("A day", PLACES, (doubt,)))
    assert [text for text, _, _ in written(drawing, "who")] == ["41 CX: about 6 in 10 pass"]
