"""What went, said in numbers."""

from __future__ import annotations

from collections.abc import Mapping


def counted(gone: Mapping[str, int]) -> str:
    """Nothing that did not go is named.

    >>> counted({"visits": 2, "clips": 1, "photos": 0, "safety remarks": 3})
    '2 visits, 1 clip, 3 safety remarks'
    """
    return ", ".join(f"{many} {what if many != 1 else what.removesuffix('s')}" for what, many in gone.items() if many)
