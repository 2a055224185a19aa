"""A list of machine kinds: what each line says, and what it does to the kinds that are known.

The same make, model and first year are the same kind. A filled cell wins over what is known, an empty one leaves it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from garage.core.errors import BadInput
from garage.core.lists import cells
from garage.core.lists.plan import LineOutcome, ListEntry, ListPlan, ListRow
from garage.core.lists.table import Column, ListLine, read_table
from garage.core.machines.gearing import NOT_SAID, gearing_of
from garage.core.machines.measures import check_measures, check_years

LONGEST = 40  # letters of make and of model
CHOICES = {
    "gearbox": {"geared": "geared", "automatic": "automatic"},
    "ignition": {"electronic": "electronic", "points": "points"},
    "fed_by": {"magneto": "magneto", "battery": "battery"},
    "oiling": {"mixed": "mixed petrol", "pump": "a pump"},
    "tap": {"gravity": "gravity", "vacuum": "vacuum"},
    "spec_curve": {"fixed": "fixed", "retarding": "retarding", "advancing": "advancing"},
}
PLACES = {
    "stroke_mm": 2,
    "rod_mm": 2,
    "flywheel_mm": 1,
    "spec_btdc": 1,
    "curve_deg": 1,
    "design_rpm": 0,
    "primary_ratio": 3,
    "final_ratio": 3,
}
LETTERS = {"gear_ratios": 60, "tyre": 20}
YEARS = ("first_year", "last_year")
NUMBERS = (*YEARS, "fires_per_turn", *PLACES)
COLUMNS = (
    Column("make", f"up to {LONGEST} letters", is_needed=True),
    Column("model", f"up to {LONGEST} letters", is_needed=True),
    Column("first_year", "four digits", ("from year",)),
    Column("last_year", "four digits", ("to year",)),
    Column(
        "fires_per_turn", "sparks a turn: 0.5 four-stroke single, 1 two-stroke single, 2 two-stroke twin", ("sparks",)
    ),
    *(Column(name, " or ".join(words)) for name, words in CHOICES.items() if name != "spec_curve"),
    Column("stroke_mm", "mm", ("stroke",)),
    Column("rod_mm", "mm, from centre to centre", ("rod",)),
    Column("flywheel_mm", "mm across", ("flywheel",)),
    Column("spec_btdc", "degrees BTDC at tickover", ("btdc", "static timing")),
    Column("spec_curve", " or ".join(CHOICES["spec_curve"])),
    Column("curve_deg", "degrees that the design changes from tickover to peak"),
    Column("design_rpm", "rpm that a healthy one reaches and holds on the stand", ("rpm",)),
    Column("primary_ratio", "crank turns for one of the gearbox", ("primary",)),
    Column("gear_ratios", "first to top, with spaces between", ("gears",)),
    Column("final_ratio", "gearbox turns for one of the wheel", ("final drive",)),
    Column("tyre", "size, or mm that the wheel rolls in a turn"),
)
Key = tuple[str, str, int | None]


def plan_kinds(raw: bytes, known: Mapping[int, Mapping[str, Any]]) -> ListPlan:
    """known: each kind's fields by id. Raises BadInput for a file that is no such list."""
    table = read_table(raw, COLUMNS)
    ids = {_key(values): row_id for row_id, values in known.items()}
    seen: dict[Key, int] = {}
    entries, rows = [], []
    for line in table.lines:
        entry, row = _entry(line, known, ids, seen)
        entries.append(entry)
        if row:
            rows.append(row)
    return ListPlan(tuple(entries), tuple(rows), table.unused)


def _entry(
    line: ListLine, known: Mapping[int, Mapping[str, Any]], ids: Mapping[Key, int], seen: dict[Key, int]
) -> tuple[ListEntry, ListRow | None]:
    words = f"{line.cells.get('make', '')} {line.cells.get('model', '')}".strip()
    try:
        values = _values(line)
        key = _key(values)
        if key in seen:
            raise BadInput(f"Line {line.number}, model", values["model"], f"one line a kind: it is in line {seen[key]}")
        kept = known.get(ids.get(key, 0), {})
        _check(line, dict(kept) | values if kept else dict.fromkeys(NUMBERS) | values)
    except BadInput as error:
        return ListEntry(line.number, LineOutcome.REFUSED, words, (error.sentence,)), None
    seen[key] = line.number
    if not kept:
        return ListEntry(line.number, LineOutcome.NEW, words), ListRow(None, values)
    changed = {name: value for name, value in values.items() if name not in ("make", "model") and kept[name] != value}
    if not changed:
        return ListEntry(line.number, LineOutcome.SAME, words), None
    says = tuple(f"{name}: {_said(kept[name])} becomes {_said(value)}" for name, value in changed.items())
    return ListEntry(line.number, LineOutcome.CHANGED, words, says), ListRow(ids[key], changed)


def _values(line: ListLine) -> dict[str, Any]:
    """The cells that say something, by field."""
    cells.check_length(line)
    found: dict[str, Any] = {name: cells.needed(line, name, LONGEST) for name in ("make", "model")}
    found |= {name: cells.year(line, name) for name in YEARS}
    sparks = cells.number(line, "fires_per_turn", 1)
    found["fires_per_turn"] = None if sparks is None else float(sparks)
    found |= {name: cells.number(line, name, places) for name, places in PLACES.items()}
    if found["design_rpm"] is not None:
        found["design_rpm"] = int(found["design_rpm"])
    found |= {name: cells.choice(line, name, words) for name, words in CHOICES.items()}
    found |= {name: cells.text(line, name, longest) for name, longest in LETTERS.items()}
    return {name: value for name, value in found.items() if value not in (None, "")}


def _check(line: ListLine, values: Mapping[str, Any]) -> None:
    try:
        check_years(values["first_year"], values["last_year"])
        check_measures(values)
        gearing_of({**NOT_SAID, **values})
    except BadInput as error:
        raise BadInput(f"Line {line.number}, {error.where}", error.found, error.allowed) from error


def _key(values: Mapping[str, Any]) -> Key:
    return values["make"].casefold(), values["model"].casefold(), values.get("first_year")


def _said(value: object) -> str:
    return "nothing" if value in (None, "") else str(value)
