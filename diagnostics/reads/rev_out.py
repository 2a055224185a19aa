"""Whether the owner may be asked to rev the machine out on the stand."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.rev_out_safety import first_to_ask
from diagnostics.reads.filled_sheet import filled_sheet
from garage.models.visits import Visit


@dataclass(frozen=True)
class RevOut:
    """why_not: why the owner must not do it, as sentences. ask_first: a question that must be answered first, or ""."""

    why_not: tuple[str, ...]
    ask_first: str

    @property
    def may_be_asked(self) -> bool:
        return not self.why_not and not self.ask_first


def rev_out_of(visit: Visit) -> RevOut:
    filled = filled_sheet(visit)
    return RevOut(filled.why_not, "" if filled.why_not else first_to_ask(filled.findings) or "")
