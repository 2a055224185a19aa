"""Whether the owner may be asked to rev the machine out on the stand."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.rev_out_safety import STOPPED, first_to_ask
from diagnostics.reads.filled_sheet import filled_sheet
from garage.core.routes import DO_NOT_RUN
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
    why_not = filled.why_not
    if visit.route == DO_NOT_RUN and not why_not:
        why_not = (STOPPED,)  # a person here decided so
    return RevOut(why_not, "" if why_not else first_to_ask(filled.findings) or "")
