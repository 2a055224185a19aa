"""What closed visits add up to: whole numbers by name, so that what one visit adds can be taken out again exactly.

A chance is a whole number of 2^-60ths here. Whole numbers add up to the same in any order, which floats do not: what is
kept from change to change equals what all visits counted anew give, to the last digit. The figures made of it are in
kept_figures.
"""

from __future__ import annotations

import json
import math
from bisect import bisect_left
from collections import Counter

from diagnostics.core.bank.bank import NOTHING_WRONG, Bank
from diagnostics.core.learning.balance import judged_route, parts_of
from diagnostics.core.learning.calibration import EDGES, SURE, Predicted
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged, is_known, was_spoilt
from diagnostics.core.learning.counts import StoryTold
from diagnostics.core.learning.question_worth import answer_worths
from diagnostics.core.learning.scores import SUBJECTS, predictions
from diagnostics.core.learning.surprises import stated_answers

ONE = 2**60  # a chance of 1; a float below 1 is rounded at its 60th binary place, past its own digits from 0.01 up
STORY = "story/"


def whole(value: float) -> int:
    """In 2^-60ths.

    >>> whole(0.5) == ONE // 2
    True
    """
    return round(value * ONE)


def log_whole(chance: float) -> int:
    """The natural log of a chance, clipped as the log loss is, in 2^-60ths."""
    return whole(math.log(min(max(chance, SURE), 1.0)))


def story_words(story: StoryTold) -> str:
    return json.dumps(story)


def read_story(words: str) -> StoryTold:
    """What story_words wrote.

    >>> told = StoryTold("set-up", ("points",), (("changed", ("exhaust", "jets-bigger")),))
    >>> read_story(story_words(told)) == told
    True
    """
    booked, traits, answers = json.loads(words)
    told = tuple((question, given if isinstance(given, str) else tuple(given)) for question, given in answers)
    return StoryTold(booked, tuple(traits), told)


def adds(bank: Bank, visit: ClosedVisit, story: str) -> Counter[str]:
    """What one visit adds to the sums. story: as story_words writes it."""
    put = Counter({"closed": 1, "rollers": int(visit.is_for_the_rollers)})
    if not is_known(bank, visit):
        put["not_learned"] = 1
        return put
    put |= {"learned": 1, "several": int(len(visit.causes) > 1), f"{STORY}{story}": 1}
    put.update(f"times/{fault}" for fault in visit.causes or {NOTHING_WRONG})
    if visit.is_for_the_rollers:
        _put_route(put, bank, visit)
    if visit.judged is not None:
        put["scored"] = 1
        _put_subjects(put, bank, visit)
        _put_questions(put, bank, visit, visit.judged)
        _put_surprises(put, bank, visit, visit.judged)
    return put


def _put_route(put: Counter[str], bank: Bank, visit: ClosedVisit) -> None:
    route = judged_route(visit)
    put["known"] += 1
    put[f"route/{route}/many"] += 1
    put[f"route/{route}/spoilt"] += was_spoilt(bank, visit)
    for part in parts_of(bank, visit):
        put[f"balance/{part}/many"] += 1
        put[f"balance/{part}/minutes"] += visit.roller_minutes


def _put_subjects(put: Counter[str], bank: Bank, visit: ClosedVisit) -> None:
    for subject in SUBJECTS:
        for one in predictions(bank, [visit], subject):
            of = f"subject/{subject}"
            put_predicted(put, of, one)
            put_predicted(put, f"{of}/band/{band_of(one.chance)}", one)
            log = log_whole(one.chance if one.observed else 1 - one.chance)
            put[f"{of}/brier"] += whole((one.chance - one.observed) ** 2)
            put[f"{of}/log"] += log
            put[f"{of}/log_square"] += log * log
            put[f"{of}/log_observed"] += log * one.observed


def _put_questions(put: Counter[str], bank: Bank, visit: ClosedVisit, judged: Judged) -> None:
    for one in answer_worths(bank, visit, judged):
        of, gain = f"question/{one.question}", whole(one.gain)
        put[f"{of}/asked"] += 1
        put[f"{of}/unsure"] += one.is_unsure
        put[f"{of}/gain"] += gain
        put[f"{of}/gain_square"] += gain * gain
        if one.weight is not None:
            put[f"{of}/moved"] += 1
            put[f"{of}/weight"] += whole(one.weight)


def _put_surprises(put: Counter[str], bank: Bank, visit: ClosedVisit, judged: Judged) -> None:
    for fault in bank.fault_ids:
        if fault in judged.chances:
            put_predicted(put, f"fault/{fault}", Predicted(judged.chances[fault], fault in visit.causes))
    for question, answer, stated in stated_answers(bank, visit, judged):
        put_predicted(put, f"answer/{question}/{answer}", stated)


def put_predicted(put: Counter[str], of: str, one: Predicted) -> None:
    put[f"{of}/many"] += 1
    put[f"{of}/observed"] += one.observed
    put[f"{of}/chance"] += whole(one.chance)


def band_of(chance: float) -> int:
    """Which of the bins between EDGES holds a chance; the upper edge belongs to it.

    >>> [band_of(chance) for chance in (0.0, 0.2, 0.21, 1.0)]
    [0, 0, 1, 4]
    """
    return max(bisect_left(EDGES, chance), 1) - 1
