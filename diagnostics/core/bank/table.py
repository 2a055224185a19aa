"""One table of the bank file while it is read; every error names the full path of what is wrong."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from garage.core.errors import BadInput

SOURCE = "source"


class Table:
    """A TOML table, its path, and the source of its numbers (its own, or that of the enclosing table).

    Each reader raises BadInput with the full path. `close` refuses keys that nobody read, so that a typing error in an
    optional key is not missed.
    """

    def __init__(self, values: dict[str, Any], path: str = "", source: str = "") -> None:
        self._values, self.path, self._read = values, path, set[str]()
        self.source = self.text(SOURCE) if SOURCE in values else source

    def __contains__(self, key: str) -> bool:
        return key in self._values

    def __iter__(self) -> Iterator[str]:
        return (key for key in self._values if key != SOURCE)

    def place(self, key: str) -> str:
        return f"{self.path}.{key}" if self.path else key

    def close(self) -> None:
        for key in self._values:
            if key not in self._read:
                raise BadInput(self.place(key), "not known", "a key that the bank's reader knows")

    def text(self, key: str, default: str | None = None) -> str:
        found = self._take(key, default)
        if not isinstance(found, str) or (not found.strip() and default is None):
            raise BadInput(self.place(key), found, "a text that is not empty")
        return found

    def texts(self, key: str) -> tuple[str, ...]:
        found = self._take(key, [])
        if not isinstance(found, list) or not all(isinstance(text, str) and text.strip() for text in found):
            raise BadInput(self.place(key), found, "a list of texts")
        return tuple(found)

    def yes(self, key: str) -> bool:
        found = self._take(key, False)
        if not isinstance(found, bool):
            raise BadInput(self.place(key), found, "true or false")
        return found

    def number(self, key: str, least: float, most: float, *, default: float | None = None) -> float:
        """A number from least to most, with a source."""
        found = self._take(key, default)
        if isinstance(found, bool) or not isinstance(found, int | float) or not math.isfinite(found):
            raise BadInput(self.place(key), found, f"a number from {least:g} to {most:g}")
        if not least <= found <= most:
            raise BadInput(self.place(key), found, f"a number from {least:g} to {most:g}")
        if not self.source:
            raise BadInput(self.place(SOURCE), None, 'the source of its numbers, or "common practice, no source"')
        return float(found)

    def numbers(self, key: str, least: float, most: float) -> dict[str, float]:
        """A table of numbers, each from least to most; {} if there is none."""
        if key not in self:
            return {}
        inner = self.table(key)
        return {name: inner.number(name, least, most) for name in inner}

    def table(self, key: str) -> Table:
        found = self._take(key, None)
        if not isinstance(found, dict):
            raise BadInput(self.place(key), found, "a table")
        return Table(found, self.place(key), self.source)

    def tables(self, key: str) -> dict[str, Table]:
        """The tables in a table, by name; {} if there are none."""
        if key not in self:
            return {}
        outer = self.table(key)
        return {name: outer.table(name) for name in outer}

    def listed(self, key: str) -> list[Table]:
        found = self._take(key, [])
        if not isinstance(found, list) or not all(isinstance(item, dict) for item in found):
            raise BadInput(self.place(key), found, f"tables, each under [[{key}]]")
        return [Table(item, f"{self.place(key)}[{index}]", self.source) for index, item in enumerate(found)]

    def _take(self, key: str, default: Any) -> Any:
        self._read.add(key)
        return self._values.get(key, default)


def known(path: str, name: str, names: frozenset[str] | tuple[str, ...]) -> str:
    """`name` if it is one of names; otherwise raises BadInput for the path."""
    if name not in names:
        raise BadInput(path, name, "one of " + ", ".join(sorted(names)))
    return name
