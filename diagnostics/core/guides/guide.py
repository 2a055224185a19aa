"""A guide: one page that teaches one test or one job, and the places that lead to it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.guides.pen import Drawing
from diagnostics.core.guides.sounds import Sound
from garage.core.text.languages import language_in_force


@dataclass(frozen=True)
class Guide:
    """One guide. place: among the others, in reading order. slug: its address and, with _, its template.

    tells: what it tells, in one sentence. drawings: in the order in which its page shows them. questions, steps: of the
    bank, whose pages lead to it. routes: outcomes of the check sheet that do. mails: names of the messages that do.
    opens_throttle: its test revs the engine up, so it is shown to nobody who must not do that.
    sounds: those that it plays. unnamed: those to test oneself with.
    """

    place: int
    slug: str
    title: str
    tells: str
    drawings: tuple[Drawing, ...]
    questions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    routes: tuple[str, ...] = ()
    mails: tuple[str, ...] = ()
    opens_throttle: bool = False
    sounds: tuple[Sound, ...] = ()
    unnamed: tuple[Sound, ...] = ()

    def file(self, drawing: Drawing) -> str:
        """Where a drawing of this guide lies below the folder of static files, in the language in force."""
        return f"drawings/{language_in_force()}/{self.slug}/{drawing.name}.svg"
