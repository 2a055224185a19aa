"""One machine's day as stretches: waiting in the yard, at its stations, collected."""

from garage.core.drawing.day_story import StationWork, VisitOfDay, machine_thread
from garage.core.drawing.sheet import Stop

GATE = StationWork("Bench 1", 525, 535, "gate")
ROLLERS = StationWork("Rollers", 545, 605, "set-up")


def stops(*work: StationWork, now: int | None = None, closes: int = 605, **changed: object) -> list[tuple]:
    visit = VisitOfDay(**{"number": "41", "label": "41 Corrick 185", "here_from": 510, "work": work} | changed)
    return [(s.track, s.begin, s.end, s.state) for s in machine_thread(visit, now=now, closes=closes).stops]


def test_a_thread_carries_its_machines_number_label_and_doubt():
    for odds in ("about 6 in 10 pass", ""):
        made = machine_thread(VisitOfDay("41", "41 Corrick 185", 510, (), odds=odds), now=None, closes=600)
        assert (made.number, made.label, made.odds) == ("41", "41 Corrick 185", odds)
        assert made.stops == (Stop("In the yard", 510, 600, "waiting", ""),)


def test_a_machine_waits_in_the_yard_before_its_work_even_for_a_minute_but_not_for_none():
    assert stops(GATE, here_from=524)[0] == ("In the yard", 524, 525, "waiting")
    assert stops(GATE, here_from=525)[0] == ("Bench 1", 525, 535, "planned")


def test_a_machine_is_there_as_soon_as_work_on_it_begins():
    assert stops(GATE, here_from=530)[0] == ("Bench 1", 525, 535, "planned")
    assert stops(StationWork("Bench 1", 500, 510, "gate"), here_from=530, closes=510) == [
        ("Bench 1", 500, 510, "planned")
    ]


def test_a_machine_whose_arrival_was_noted_after_its_work_waits_from_the_end_of_that_work():
    later = StationWork("Rollers", 560, 605, "set-up")
    for work in ((GATE, later), (later, GATE)):
        assert stops(*work, here_from=540) == [
            ("Bench 1", 525, 535, "planned"),
            ("In the yard", 535, 560, "waiting"),
            ("Rollers", 560, 605, "planned"),
        ]


def test_a_machine_is_wheeled_out_for_ten_minutes_and_left_where_it_stands_for_less():
    assert stops(GATE, ROLLERS, here_from=525) == [
        ("Bench 1", 525, 535, "planned"),
        ("In the yard", 535, 545, "waiting"),
        ("Rollers", 545, 605, "planned"),
    ]
    assert stops(GATE, StationWork("Rollers", 544, 605, "set-up"), here_from=525) == [
        ("Bench 1", 525, 535, "planned"),
        ("Bench 1", 535, 544, "waiting"),
        ("Rollers", 544, 605, "planned"),
    ]
    assert stops(GATE, StationWork("Rollers", 536, 605, "set-up"), here_from=525)[1] == ("Bench 1", 535, 536, "waiting")
    assert len(stops(GATE, StationWork("Rollers", 535, 605, "set-up"), here_from=525)) == 2


def test_work_is_told_in_order_of_time_and_a_shorter_one_inside_a_longer_takes_no_time_back():
    inside = StationWork("Bench 2", 550, 560, "look")
    assert stops(ROLLERS, inside, GATE, here_from=525, closes=615) == [
        ("Bench 1", 525, 535, "planned"),
        ("In the yard", 535, 545, "waiting"),
        ("Rollers", 545, 605, "planned"),
        ("Bench 2", 550, 560, "planned"),
        ("In the yard", 605, 615, "waiting"),
    ]


def test_an_unfinished_thread_ends_when_the_garage_closes_or_with_its_last_work():
    assert stops(GATE)[-1] == ("In the yard", 535, 605, "waiting")
    assert stops(GATE, closes=535)[-1] == ("Bench 1", 525, 535, "planned")
    assert stops(GATE, closes=500)[-1] == ("Bench 1", 525, 535, "planned")


def test_a_collected_machine_waits_until_then_and_is_seen_for_twenty_minutes_more():
    assert stops(GATE, gone_at=600) == [
        ("In the yard", 510, 525, "waiting"),
        ("Bench 1", 525, 535, "planned"),
        ("In the yard", 535, 600, "waiting"),
        ("Collected", 600, 620, "waiting"),
    ]
    assert stops(GATE, gone_at=535)[-2:] == [("Bench 1", 525, 535, "planned"), ("Collected", 535, 555, "waiting")]
    assert stops(GATE, gone_at=530)[-2:] == [("Bench 1", 525, 535, "planned"), ("Collected", 535, 555, "waiting")]


def worked(now: int | None, **changed: object) -> list[tuple]:
    work = StationWork(**{"track": "Bench 1", "begin": 525, "end": 535, "words": "gate", "has_begun": True} | changed)
    made = machine_thread(VisitOfDay("41", "41", 525, (work,)), now=now, closes=525).stops
    return [(s.track, s.begin, s.end, s.state, s.words) for s in made]


def test_work_is_planned_until_it_begins_black_up_to_now_and_done_once_it_is_over():
    planned = [("Bench 1", 525, 535, "planned", "gate")]
    assert worked(530, has_begun=False) == planned
    assert worked(None) == worked(525) == worked(535) == worked(540) == planned
    assert worked(526) == [("Bench 1", 525, 535, "running", "gate")]
    assert worked(534) == [("Bench 1", 525, 535, "running", "gate")]
    assert worked(530, is_over=True) == worked(None, is_over=True) == [("Bench 1", 525, 535, "done", "gate")]


def test_the_shortest_work_is_drawn_a_minute_long():
    assert worked(None, end=525, is_over=True) == [("Bench 1", 525, 526, "done", "gate")]
    assert worked(None, end=525) == [("Bench 1", 525, 526, "planned", "gate")]
    assert worked(None, end=526) == [("Bench 1", 525, 526, "planned", "gate")]


def test_moved_work_carries_where_it_stood_once_whatever_has_become_of_it():
    for changed, now in (({}, None), ({"has_begun": True}, 620), ({"has_begun": True, "is_over": True}, 700)):
        work = StationWork("Bench 1", 600, 660, "gate", was=540, **changed)
        made = machine_thread(VisitOfDay("41", "41 Corrick 185", 600, (work,)), now=now, closes=660)
        assert [stop.was for stop in made.stops if stop.was is not None] == [540]
