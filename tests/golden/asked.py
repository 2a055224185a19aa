"""What the golden files ask of each command: drawn and written lines, as texts, good ones and bad ones."""

from __future__ import annotations

import json
import random
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from diagnostics.core.findings import MachineFacts
from diagnostics.reads.bank import the_bank
from garage.core.planning.day_problem import DayProblem, Job, JobStep, Placed
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.garage.core.day_drawing import running_day, tiny_day, whole_day

TRADE_CASES = Path(__file__).parents[1] / "diagnostics" / "core" / "trade_cases.toml"
DRAWN = 400
SEED = 13
COSTS: tuple[dict[str, int] | None, ...] = (
    None,
    {"slot_lost": 6500, "bench_check": 4000, "call": 250},
    {"call": 0, "bench_minute": 80},
    {"slot_lost": 0, "bench_check": 0, "call": 0, "bench_minute": 0},
    {"slot_lost": 10**9},
)
CURVES: tuple[dict[str, Any], ...] = (
    {},
    {"spec_curve": "fixed"},
    {"spec_curve": "retarding", "curve_deg": 4},
    {"spec_curve": "advancing", "curve_deg": 8.5},
    {"spec_curve": "retarding"},
    {"spec_curve": "advancing"},
)
HEARD: tuple[dict[str, Any] | None, ...] = (
    None,
    {"verdict": "breaks-down", "confidence": 0.93, "ceiling_rpm": 6120.5, "peak_rpm": 6300},
    {"verdict": "breaks-down", "confidence": 0.8, "ceiling_rpm": 9400},
    {"verdict": "breaks-down", "confidence": 0.55},
    {"verdict": "revs-out", "confidence": 0.97, "ceiling_rpm": None, "peak_rpm": 10250.0},
    {"verdict": "unclear", "confidence": 0.4},
)
RICH = {"trouble": "four-strokes", "where": "top", "rev_out": "smoky", "plug": "black-dry", "half_choke": "worse"}
STOPS: tuple[dict[str, Any], ...] = (
    {"pinking": "yes"},
    {"nipped": "yes"},
    {"plug": "speckled"},
    {"fuel": "wrong-mix"},
    {"strobe_idle": 14, "strobe_peak": 19.5},
    {"strobe_idle": 17, "strobe_peak": 18},
    {"strobe_idle": 17, "strobe_peak": 18.1},
    {"strobe_peak": 20.1},
    {"strobe_peak": 20},
    {"strobe_idle": 20.5},
    {"strobe_idle": -3, "strobe_peak": -10},
    {"plug": "white", "changed": ["jets-smaller", "exhaust"]},
    {"changed": ["exhaust", "air-filter"]},
    {"falls_back": "hangs", "trouble": "runs-hot"},
    {"half_choke": "better", "where": "top", "plug": "white"},
    {"half_choke": "better", "where": "bottom", "plug": "white"},
    {"fuel_flow": "weak", "where": "top", "changed": "jets-smaller"},
    {"pinking": "yes", "nipped": "yes", "plug": "speckled", "fuel": "wrong-mix", "strobe_peak": 25},
)
BAD_CASES = (
    "{oops",
    "[1, 2]",
    '{"case": "a", "booked": "set-up", "answers": {"strobe_idle": NaN}}',
    '{"case": "a", "booked": "set-up", "answers": {"strobe_idle": 1e999}}',
    '{"case": "a", "booked": "set-up", "answers": {"strobe_peak": 400}}',
    '{"case": "a", "booked": "set-up", "answers": {"plug": ["tan", "white"]}}',
    '{"case": "a", "booked": "set-up", "answers": {"plug": "green"}}',
    '{"case": "a", "booked": "set-up", "answers": {"rev_out": "bounces"}}',  # an older name of `ceiling`
    '{"case": "a", "booked": "set-up", "answers": {"changed": ["nothing", "exhaust"]}}',
    '{"case": "a", "booked": "set-up", "answers": 7}',
    '{"case": "a", "booked": "race"}',
    '{"case": 7, "booked": "set-up"}',
    '{"booked": "set-up"}',
    '{"case": "a", "booked": "set-up", "machine": {"fires_per_turn": 3}}',
    '{"case": "a", "booked": "set-up", "machine": {"design_rpm": 0}}',
    '{"case": "a", "booked": "set-up", "costs": {"call": 1.5}}',
    '{"case": "a", "booked": "set-up", "heard": {"verdict": "loud", "confidence": 1}}',
    '{"case": "a", "booked": "set-up", "heard": {"verdict": "unclear", "confidence": 2}}',
    '{"case": "\\u00fcber \\ud83d\\udd27", "booked": "set-up", "colour": "red", "answers": {"colour": "red"}}',
)


CLEAN = {"trouble": "none", "rev_out": "clean", "nipped": "no", "pinking": "no"}
TOLD: tuple[dict[str, Any], ...] = (  # what an owner tells beside the questions, and how a machine is oiled and fed
    {"answers": CLEAN, "remarks": []},
    {"answers": CLEAN, "remarks": ["leaks-petrol"]},
    {"answers": CLEAN, "remarks": ["not-run-in"]},
    {"answers": CLEAN, "remarks": ["brakes-or-tyres", "no-exhaust"]},
    {"answers": CLEAN, "remarks": ["leaks-petrol", "no-exhaust"], "booked": "bench"},
    {"answers": CLEAN, "remarks": ["not-run-in"], "booked": "bench"},
    {"answers": RICH, "remarks": ["no-exhaust"]},
    {"answers": None, "remarks": ["not-run-in"]},
    {"answers": {"trouble": "unsure", "rev_out": "unsure"}, "booked": "power-run"},
    {"answers": CLEAN | {"falls_back": "hangs"}, "booked": "power-run"},
    {"answers": CLEAN | {"falls_back": "hangs"}},
    {"answers": {"fuel": "wrong-mix"}, "machine": {"oiling": "pump"}},
    {"answers": {"fuel": "wrong-mix"}, "machine": {"oiling": "mixed"}},
    {"answers": {"fuel_flow": "weak", "where": "top", "plug": "white"}, "machine": {"tap": "vacuum"}},
    {"answers": {"fuel_flow": "weak", "where": "top", "plug": "white"}, "machine": {"tap": "gravity"}},
    {"answers": CLEAN | {"strobe_idle": 16, "strobe_peak": 17.5}, "machine": {"spec_btdc": 17}},
    {"answers": CLEAN | {"strobe_idle": 17, "strobe_peak": 18.1}, "machine": {"spec_btdc": 17}},
)
BAD_REMARKS = (
    '{"case": "a", "booked": "set-up", "remarks": ["it-smells"]}',
    '{"case": "a", "booked": "set-up", "remarks": "leaks-petrol"}',
    '{"case": "a", "booked": "set-up", "machine": {"oiling": "premix"}}',
    '{"case": "a", "booked": "set-up", "machine": {"tap": 2}}',
)


def assess_lines() -> list[str]:
    cases = [*_drawn(), *_trade_cases(), *_written()]
    lines = [json.dumps({"case": f"{place}"} | case) for place, case in enumerate(cases)]
    told = [json.dumps({"case": f"told {place}", "booked": "set-up"} | case) for place, case in enumerate(TOLD)]
    return [*lines, *BAD_CASES, *told, *BAD_REMARKS]


def _drawn() -> list[dict[str, Any]]:
    """Whole, half-filled and nearly empty sheets; with readings, clips, several changes, unsure answers, other costs,
    and some for the bench."""
    bank, chance, cases = the_bank(), np.random.default_rng(SEED), []
    for place in range(DRAWN):
        drawn = draw_sheet(bank, chance).case
        share = (1.0, 0.5, 0.15)[place % 3]
        answers: dict[str, Any] = {q: answer for q, answer in drawn.answers.items() if chance.random() < share}
        answers |= {q: "unsure" for q in list(answers) if chance.random() < 0.08}
        machine = _plain(drawn.machine)
        if place % 2:
            machine |= {"spec_btdc": 17, "design_rpm": 9500} | CURVES[place % len(CURVES)]
        if place % 5 == 2:
            answers["strobe_idle"] = round(float(chance.uniform(13, 21)), 1)
        if place % 5 in (2, 3):
            answers["strobe_peak"] = round(float(chance.uniform(13, 20)), 1)
        if place % 11 == 4:
            answers["changed"] = ["jets-bigger", "exhaust"]
        if place % 13 == 6:
            machine["fires_per_turn"] = 0.5
        case = {"booked": "bench" if place % 9 == 8 else drawn.booked, "answers": answers, "machine": machine}
        cases.append(case | {"heard": HEARD[place % 7 % len(HEARD)], "costs": COSTS[place % 6 % len(COSTS)]})
    return cases


def _plain(machine: MachineFacts) -> dict[str, Any]:
    return {
        key: value for key, value in vars(machine).items() if value is not None and value != vars(MachineFacts())[key]
    }


def _trade_cases() -> list[dict[str, Any]]:
    return [case["in"] for case in tomllib.loads(TRADE_CASES.read_text(encoding="utf-8"))["case"]]


def _written() -> list[dict[str, Any]]:
    """Every stop rule and what only nearly fires, on every kind of curve; both plain cases; hardly anything said."""
    machines = [{"spec_btdc": 17} | curve for curve in CURVES] + [{}, {"fires_per_turn": 0.5, "spec_btdc": 17}]
    stops = [
        {"booked": ("set-up", "power-run", "bench")[place % 3], "answers": answers, "machine": machine}
        for place, (answers, machine) in enumerate((a, m) for a in STOPS for m in machines)
    ]
    plain: list[dict[str, Any]] = []
    for booked in ("set-up", "power-run", "bench"):
        plain += [
            {"booked": booked},
            {"booked": booked, "answers": None, "machine": None, "heard": None, "costs": None},
            {"booked": booked, "answers": RICH},
            {"booked": booked, "answers": RICH | {"changed": ["jets-bigger"]}},
            {"booked": booked, "answers": RICH | {"rev_out": "clean", "pinking": "unsure"}},
            {"booked": booked, "answers": dict.fromkeys(("trouble", "where", "rev_out", "plug"), "unsure")},
        ]
        plain += [{"booked": booked, "answers": {"trouble": "misfires"}, "heard": heard} for heard in HEARD]
    return stops + plain


def timing_lines() -> list[str]:
    chance = random.Random(SEED)
    asks = [_piston(chance) for _ in range(120)] + [_strobe(chance) for _ in range(220)]
    asks += [_packer(chance) for _ in range(80)] + _odd_asks()
    lines = [json.dumps({"case": str(place)} | ask) for place, ask in enumerate(asks)]
    return [*lines, "{oops", '{"ask": "strobe", "spec_btdc": NaN}', '{"ask": "piston", "stroke_mm": 1e999}']


def _piston(chance: random.Random) -> dict[str, Any]:
    stroke, rod = round(chance.uniform(30, 80), 2), round(chance.uniform(60, 160), 2)
    ask = {"ask": "piston", "stroke_mm": stroke, "rod_mm": rod}
    if chance.random() < 0.5:
        ask["btdc_deg"] = chance.choice([0, 180, round(chance.uniform(0, 180), 3)])
    else:
        ask["btdc_mm"] = chance.choice([0, stroke, round(chance.uniform(0, stroke), 4)])
    return ask | ({"flywheel_mm": round(chance.uniform(80, 200), 1)} if chance.random() < 0.4 else {})


def _strobe(chance: random.Random) -> dict[str, Any]:
    spec, count = chance.choice([15, 17, 17.5, 22]), chance.choice([2, 2, 3, 5, 8])
    drift = chance.choice([0, 0, 1, -1, -2.5, 1.1, chance.uniform(-6, 6)])
    readings = []
    for place in range(count):
        off = chance.choice([0, 0, 1, -1, 1.1]) + chance.choice([0, 0.4, 2])
        rpm = chance.choice([1200, 1500, 3000, 4500, 6000, 9000]) + chance.randrange(3)
        readings.append([rpm, round(spec + off + drift * place / (count - 1), 1)])
    curve = chance.choice(
        [{}, {"curve": "fixed"}, {"curve": "retarding", "retards_deg": 4}, {"curve": "advancing", "advances_deg": 8}]
    )
    return {"ask": "strobe", "spec_btdc": spec, "readings": readings} | curve


def _packer(chance: random.Random) -> dict[str, Any]:
    stock = [chance.choice([0.1, 0.2, 0.3, 0.5, 0.8, 1, 1.25]) for _ in range(chance.randrange(0, 9))]
    pickup = round(chance.uniform(10, 14), 2)
    return {
        "ask": "packer",
        "pickup_mm": pickup,
        "magnet_mm": round(pickup + chance.uniform(-0.4, 3), 2),
        "packers_mm": stock,
    }


def _odd_asks() -> list[dict[str, Any]]:
    piston = {"ask": "piston", "stroke_mm": 54, "rod_mm": 110}
    strobe: dict[str, Any] = {"ask": "strobe", "spec_btdc": 17}
    packer: dict[str, Any] = {"ask": "packer", "pickup_mm": 12, "magnet_mm": 13}
    return [
        {},
        {"ask": "colour"},
        {"ask": ["strobe"]},
        piston,
        piston | {"btdc_deg": 18, "btdc_mm": 2},
        piston | {"btdc_deg": 181},
        piston | {"btdc_mm": 54.1},
        piston | {"rod_mm": 27, "btdc_deg": 18},
        piston | {"stroke_mm": 0, "btdc_deg": 18},
        piston | {"stroke_mm": "54", "btdc_deg": 18},
        piston | {"btdc_deg": 18, "flywheel_mm": -1},
        strobe,
        strobe | {"readings": [[1500, 17]]},
        strobe | {"readings": [[1500, 17], [1500, 18]]},
        strobe | {"readings": [[0, 17], [9000, 18]]},
        strobe | {"readings": [[1500, 17], [9000]]},
        strobe | {"readings": "17"},
        strobe | {"readings": [[9000, 17.9], [1400, 16.9]]},
        strobe | {"readings": [[1500, 17], [9000, 18]], "spec_btdc": None},
        strobe | {"readings": [[1500, 17], [9000, 18]], "curve": "bent"},
        strobe | {"readings": [[1500, 17], [9000, 18]], "curve": "retarding"},
        strobe | {"readings": [[1500, 17], [9000, 18]], "curve": "advancing", "advances_deg": -2},
        packer,
        packer | {"packers_mm": [0.5, -0.5]},
        packer | {"packers_mm": [0.1] * 60},
        packer | {"packers_mm": 0.5},
        packer | {"packers_mm": [], "magnet_mm": 12.1},
        packer | {"packers_mm": [0.5], "magnet_mm": None},
    ]


def plan_lines() -> list[str]:
    days = [tiny_day(seed) for seed in range(24)]
    days += [whole_day(seed, jobs) for seed, jobs in zip(range(40, 56), (1, 2, 3, 4) * 4, strict=True)]
    days += [replace(running_day(seed), rollers=2) for seed in range(16)]
    lines = [json.dumps({"case": str(place)} | _day_values(day)) for place, day in enumerate(days)]
    return [*lines, "{oops", json.dumps(_day_values(days[0]) | {"rollers": "two"}), json.dumps({"day": "2027-02-30"})]


def day_line(day: DayProblem) -> str:
    return json.dumps(_day_values(day))


def _day_values(day: DayProblem) -> dict[str, Any]:
    people = [
        {
            "id": person.id,
            "from": _clock(person.begin),
            "to": _clock(person.end),
            "breaks": [[_clock(begin), _clock(end)] for begin, end in person.breaks],
            "skills": sorted(person.skills),
        }
        for person in day.people
    ]
    return {
        "day": day.day,
        "now": _clock(day.now),
        "rollers": day.rollers,
        "benches": day.benches,
        "people": people,
        "guard": day.guard,
        "limit_s": day.limit_s,
        "quiet": {"rollers": [[_clock(begin), _clock(end)] for begin, end in day.quiet_rollers]},
        "standing": [_placed_values(placed) for placed in day.standing],
        "jobs": [_job_values(job) for job in day.jobs],
    }


def _job_values(job: Job) -> dict[str, Any]:
    values = {"id": job.id, "here_from": _clock(job.here_from), "worth": job.worth, "ready": round(job.ready, 3)}
    values |= {"gone_by": _clock(job.gone_by)} if job.gone_by is not None else {}
    values |= {"promised": _clock(job.promised)} if job.promised is not None else {}
    return values | {"steps": [_step_values(step) for step in job.steps]}


def _step_values(step: JobStep) -> dict[str, Any]:
    values: dict[str, Any] = {"at": step.at, "minutes": step.minutes}
    values |= {"check": True} if step.check else {}
    values |= {"began": _clock(step.began), "by": step.by} if step.began is not None else {}
    values |= {"ended": _clock(step.ended)} if step.ended is not None else {}
    pin = {"station": step.pin.station, "by": step.pin.by}
    pin |= {"begin": _clock(step.pin.begin)} if step.pin.begin is not None else {}
    pin = {key: value for key, value in pin.items() if value is not None}
    return values | ({"pin": pin} if pin else {})


def _placed_values(placed: Placed) -> dict[str, Any]:
    return {
        "job": placed.job,
        "step": placed.step,
        "at": placed.at,
        "station": placed.station,
        "by": placed.by,
        "begin": _clock(placed.begin),
        "end": _clock(placed.end),
    }


def _clock(minute: int) -> str:
    return f"{minute // 60:02}:{minute % 60:02}"


LINES = {"assess": assess_lines, "plan": plan_lines, "timing": timing_lines}
