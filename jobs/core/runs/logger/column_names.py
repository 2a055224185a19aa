"""What a column of a logger's file is called, and a guess at what it holds. A person looks at every guess."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.core.runs.units import QUANTITIES, ROLLER, TIME, Quantity, Unit

_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_NOISE = re.compile(r"[\s.·\[\]()]")
LONGEST = 60  # letters of a name that are kept


@dataclass(frozen=True)
class ColumnName:
    """words: its names, over all lines, in one. unit: as the file writes it, or empty."""

    words: str
    unit: str = ""


@dataclass(frozen=True)
class Holds:
    """What a column holds, in which unit."""

    quantity: Quantity
    unit: Unit

    @property
    def key(self) -> str:
        """As a form sends it."""
        return f"{self.quantity.id}:{self.unit.symbol}"


HOLDS = {holds.key: holds for holds in (Holds(quantity, unit) for quantity in QUANTITIES for unit in quantity.units)}


def column_names(above: Sequence[Sequence[str]], width: int) -> tuple[ColumnName, ...]:
    """above: the lines over the readings. Lines as wide as the readings name the columns; the last of them may be of
    units; what the logger says of itself is narrower.

    >>> column_names([["Logger 7"], ["Engine", "Wheel"], ["speed", "power"], ["[rpm]", "[kW]"]], 2)
    (ColumnName(words='Engine speed', unit='rpm'), ColumnName(words='Wheel power', unit='kW'))
    """
    wide = [[cell.strip() for cell in row] for row in above if len(row) == width and sum(map(bool, row)) > 1]
    units = wide.pop() if wide and _are_units(wide[-1]) else [""] * width
    names = [" ".join(filter(None, cells)) for cells in zip(*wide, strict=True)] if wide else [""] * width
    return tuple(_named(name, unit) for name, unit in zip(names, units, strict=True))


def guesses(columns: Sequence[ColumnName]) -> dict[int, Holds]:
    """By the number of the column, counted from 0. Each quantity once: of two that look alike, the first."""
    found: dict[int, Holds] = {}
    taken: set[str] = set()
    for index, column in enumerate(columns):
        holds = _guess(column)
        if holds and holds.quantity.id not in taken:
            found[index] = holds
            taken.add(holds.quantity.id)
    return found


def unit_said(column: ColumnName, quantity: Quantity) -> Unit | None:
    """The unit of this quantity that the file itself gives, if it does."""
    key = _key(column.unit)
    return next((unit for unit in quantity.units if key and key in unit.words), None)


def _named(name: str, unit: str) -> ColumnName:
    in_brackets = _BRACKETS.search(name)
    if not unit and in_brackets:
        unit, name = in_brackets[1], (name[: in_brackets.start()] + name[in_brackets.end() :]).strip()
    return ColumnName(" ".join(name.split())[:LONGEST], unit.strip("[]() ")[:LONGEST])


def _are_units(row: Sequence[str]) -> bool:
    """Half or more of what stands there are units, or empty brackets."""
    filled = [cell for cell in row if cell]
    known = sum(_key(cell) in _UNIT_WORDS for cell in filled)
    return 2 * known >= len(filled)


def _guess(column: ColumnName) -> Holds | None:
    """By its name, and its unit where that fits; by its unit alone where that belongs to one quantity."""
    words = column.words.casefold()
    for quantity in QUANTITIES:
        if any(word in words for word in quantity.words):
            unit = unit_said(column, quantity) or _unit_in(words, quantity)
            if unit or not column.unit:
                return Holds(quantity, unit or quantity.units[0])
    others = [quantity for quantity in QUANTITIES if quantity not in (ROLLER, TIME)]
    fitting = [(quantity, unit_said(column, quantity) or _unit_in(words, quantity)) for quantity in others]
    return next((Holds(quantity, unit) for quantity, unit in fitting if unit), None)


def _unit_in(words: str, quantity: Quantity) -> Unit | None:
    """A unit that is one of the words of the name, as in "power hp"."""
    keys = {_key(word) for word in words.replace("_", " ").split()}
    return next((unit for unit in quantity.units if keys & {*unit.words}), None)


def _key(text: str) -> str:
    return _NOISE.sub("", text.casefold())


_UNIT_WORDS = {"", "-", "%", "v", "bar", "c", "°c", "°f", "hpa", "kpa", "psi", "n", "m"} | {
    word for quantity in QUANTITIES for unit in quantity.units for word in unit.words
}
