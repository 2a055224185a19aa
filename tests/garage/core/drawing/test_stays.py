"""Where the stays of a machine and their labels lie. The paper's minutes run from x 150 to x 1240."""

import pytest

from garage.core.drawing.sheet import DaySheet, Label, Promise, Rest, Stop, Thread
from garage.core.drawing.stays import Scale, Stay, label_beside, stays_of
from garage.core.drawing.text_width import text_px

SCALE = Scale(DaySheet("A day", (), ()))
x = SCALE.x


def stays(*stops: Stop, label: str = "41 CX") -> list[Stay]:
    return stays_of(Thread("41", label, stops), SCALE)


def placed(labels: tuple[Label, ...]) -> list[tuple[str, str, float]]:
    return [(label.text, label.kind, round(label.x, 6)) for label in labels]


def px(text: str) -> float:
    return text_px(text, 13)


def bench(begin: int, end: int, words: str = "", state: str = "planned") -> Stop:
    return Stop("Bench 1", begin, end, state, words)


@pytest.mark.parametrize(
    ("changed", "since", "until"),
    [
        ({}, 480, 1050),
        ({"opens": 539, "closes": 1021}, 480, 1050),
        ({"opens": 540, "closes": 1051}, 540, 1080),
        ({"opens": 480, "closes": 490}, 480, 540),
        ({"now": 479}, 420, 1050),
        ({"now": 1051}, 480, 1080),
        ({"promises": (Promise("41", "Rollers", 400),)}, 360, 1050),
        ({"promises": (Promise("41", "Rollers", 1100),)}, 480, 1110),
        ({"rests": (Rest(300, 310),)}, 300, 1050),
        ({"rests": (Rest(1000, 1081),)}, 480, 1110),
        ({"threads": (Thread("41", "41", (Stop("Bench 1", 470, 500), Stop("Bench 1", 600, 1060))),)}, 420, 1080),
        ({"now": 0}, 0, 1050),
    ],
)
def test_the_paper_runs_from_a_whole_hour_to_a_half_hour_around_all_there_is(changed, since, until):
    scale = Scale(DaySheet(**{"title": "A day", "tracks": (), "threads": ()} | changed))
    assert (scale.since, scale.until) == (since, until)
    assert [scale.x(minute) for minute in (since, (since + until) / 2, until)] == [150, 695, 1240]


def test_stops_on_one_track_are_one_stay_up_to_the_beginning_of_the_next():
    told = stays(bench(525, 535), Stop("Rollers", 545, 605, "planned"), Stop("Yard", 510, 520), bench(536, 540))
    assert [[(stop.track, stop.begin) for stop in stay.stops] for stay in told] == [
        [("Yard", 510)],
        [("Bench 1", 525), ("Bench 1", 536)],
        [("Rollers", 545)],
    ]
    assert [stay.key for stay in told] == [("41", 510), ("41", 525), ("41", 545)]
    assert [stay.thread.label for stay in told] == ["41 CX"] * 3


def test_a_thin_line_keeps_nine_pixels_and_the_run_in_of_its_crossing_to_others():
    first, _, last = stays(Stop("Yard", 600, 630), bench(640, 700), Stop("Yard", 710, 740))
    assert (first.left, first.right) == (x(600), x(640) + 9)
    assert last.left == x(710) - 14


def test_a_bar_takes_its_own_minutes_so_that_another_may_follow_at_once():
    _, bar, _ = stays(Stop("Yard", 600, 640), bench(640, 700), Stop("Yard", 700, 740))
    assert (bar.left, bar.right) == (x(640), x(700))
    _, waits, _ = stays(Stop("Yard", 600, 640), bench(640, 700), Stop("Yard", 705, 740))
    assert waits.right == x(705) + 9


def test_a_stay_ends_with_its_longest_stop_even_if_the_next_stay_begins_before():
    first, _ = stays(bench(600, 700), Stop("Yard", 650, 660))
    assert first.right == x(700)
    (only,) = stays(bench(600, 700), bench(610, 620))
    assert only.right == x(700) + 9


def test_a_stay_is_as_wide_as_its_labels_if_they_are_wider():
    (only,) = stays(bench(600, 605, "41 gate"))
    assert only.left == x(600)
    assert only.right == pytest.approx(x(600) + 1 + px("41 gate") + 9)
    _, last = stays(Stop("Yard", 600, 1030), bench(1030, 1040, "41 gate and a good look at it"))
    assert last.left == pytest.approx(1240 - px("41 gate and a good look at it"))
    assert last.left < x(1030) - 14


def test_the_machine_is_named_where_its_thread_begins_and_the_work_at_each_bar():
    first, second = stays(Stop("Yard", 600, 700), bench(700, 800, "gate"))
    assert placed(first.labels) == [("41 CX", "who", round(x(600), 6))]
    assert placed(second.labels[:1]) == [("41 gate", "what", round(x(700) + 1, 6))]
    assert {(label.y, label.size_px) for stay in (first, second) for label in stay.labels} == {(0, 13)}
    assert first.labels[0].width == px("41 CX")


def test_the_number_stands_behind_the_end_of_the_thread():
    *_, last = stays(Stop("Yard", 600, 700), bench(700, 800, "gate"))
    assert placed(last.labels[1:]) == [("41", "end", round(x(800) + 5, 6))]
    assert last.right == pytest.approx(x(800) + 5 + px("41") + 9)


def test_no_number_stands_behind_the_end_where_words_stand_or_where_the_thread_began():
    def ends(*stops: Stop) -> list[str]:
        return [label.text for label in stays(*stops)[-1].labels if label.kind == "end"]

    assert ends(Stop("Yard", 600, 700), bench(700, 705, "gate")) == []
    assert ends(bench(600, 700)) == []


def test_a_number_of_many_figures_is_shortened_to_the_edge_of_the_paper():
    *_, last = stays_of(Thread("1234567", "", (Stop("Yard", 600, 700), bench(700, 1050))), SCALE)
    assert last.labels[-1].text.endswith("…")
    assert last.labels[-1].width <= 46


def numbered(*stops: Stop) -> list[str]:
    return [label.text for label in stays(Stop("Yard", 500, 600), *stops)[1].labels if label.kind != "end"]


def test_a_bar_without_words_has_the_machines_number_unless_it_goes_on_from_the_bar_before():
    assert numbered(bench(600, 700)) == ["41"]
    assert numbered(bench(600, 700, state="waiting")) == []
    assert numbered(bench(600, 700, "look", "waiting")) == ["look"]
    assert numbered(bench(600, 700), bench(700, 800)) == ["41"]
    assert numbered(bench(600, 700), bench(701, 800)) == ["41", "41"]
    assert numbered(bench(600, 700, state="waiting"), bench(700, 800)) == ["41"]
    assert numbered(bench(600, 700), bench(700, 800, "look")) == ["41", "look"]


def test_at_each_further_place_the_first_bar_says_whose_it_is():
    assert numbered(bench(600, 700, "gate")) == ["41 gate"]
    assert numbered(bench(600, 700, "41 gate")) == ["41 gate"]
    assert numbered(bench(600, 700, "410 gate")) == ["41 410 gate"]
    assert numbered(bench(600, 700, "gate"), bench(720, 800, "look")) == ["41 gate", "look"]
    assert numbered(bench(600, 640, "by hand", "waiting"), bench(720, 800, "look")) == ["by hand", "41 look"]


def test_where_the_machine_is_named_its_number_is_not_said_again():
    (only,) = stays(bench(600, 700), bench(800, 900, "look"))
    assert [label.text for label in only.labels] == ["41 CX", "look"]
    (only,) = stays(bench(600, 700, "41"))
    assert [label.text for label in only.labels] == ["41 CX"]


def test_the_machine_stands_above_work_that_would_have_to_make_room_for_it():
    (only,) = stays(bench(600, 605, "gate"))
    assert [(label.text, label.x, label.y) for label in only.labels] == [
        ("41 CX", x(600), -15),
        ("gate", x(600) + 1, 0),
    ]
    (only,) = stays(Stop("Bench 1", 600, 700), bench(700, 705, "gate"))
    assert [(label.text, label.x, label.y) for label in only.labels] == [
        ("41 CX", x(600), 0),
        ("gate", x(700) + 1, 0),
    ]


def test_labels_stand_side_by_side_nine_pixels_apart():
    (only,) = stays(bench(600, 605, "gate"), bench(606, 610, "look"), bench(900, 910, "fix"))
    _, gate, look, fix = (label.x for label in only.labels)
    assert gate == x(600) + 1
    assert look == pytest.approx(gate + px("gate") + 9)
    assert fix == x(900) + 1


def test_labels_at_the_edge_of_the_paper_move_to_the_left_one_after_the_other():
    _, last = stays(Stop("Yard", 500, 1030), bench(1030, 1035, "gate"), bench(1036, 1040, "look"))
    gate, look = last.labels
    assert look.x == pytest.approx(1240 - px("look"))
    assert gate.x == pytest.approx(look.x - 9 - px("41 gate"))
    _, last = stays(Stop("Yard", 500, 900), bench(900, 905, "gate"), bench(1036, 1040, "look"))
    assert [label.x for label in last.labels] == [x(900) + 1, pytest.approx(1240 - px("look"))]


def test_a_label_is_shortened_to_its_share_of_the_paper_and_to_320_pixels():
    long = "n" * 200
    (only,) = stays(bench(600, 700, long), label="41")
    assert only.labels[1].text.endswith("n…")
    assert 320 - px("n") < only.labels[1].width <= 320
    (only,) = stays(*(bench(500 + 10 * n, 505 + 10 * n, long) for n in range(4)), label="41")
    share = 1090 / 4 - 9
    assert all(share - px("n") < label.width <= share for label in only.labels[1:])


def test_words_beside_a_mark_stand_to_its_right_or_at_the_edge_to_its_left():
    room = 1240 - 8 - px("now 09:00")
    right, left = label_beside(room - 0.01, 36, "now 09:00", "now"), label_beside(room + 0.01, 36, "now 09:00", "now")
    assert right == Label(room - 0.01 + 8, 36, "now 09:00", "now", 13, px("now 09:00"))
    assert left.x == pytest.approx(room + 0.01 - 8 - px("now 09:00"))
    assert (left.y, left.text, left.kind, left.size_px) == (36, "now 09:00", "now", 13)
