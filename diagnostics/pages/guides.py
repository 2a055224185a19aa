"""A guide's page: its text's template, its drawings, and where the check sheet and the others lead on."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import GUIDES
from diagnostics.core.guides.pen import WIDTH, Drawing
from garage.core.text.languages import told


@dataclass(frozen=True)
class DrawingShown:
    """file: below the folder of static files. width, height: units, so that the page does not jump."""

    file: str
    alt: str
    height: int
    width: int = WIDTH


@dataclass(frozen=True)
class GuideShown:
    """template: of this guide. drawings: by name. others: the other guides, in reading order."""

    guide: Guide
    template: str
    drawings: dict[str, DrawingShown]
    others: tuple[Guide, ...]


def guide_shown(guide: Guide) -> GuideShown:
    shown = {drawing.name: _shown(guide, drawing) for drawing in guide.drawings}
    others = tuple(other for other in GUIDES if other != guide)
    return GuideShown(guide, f"guides/{guide.slug.replace('-', '_')}.html", shown, others)


def _shown(guide: Guide, drawing: Drawing) -> DrawingShown:
    return DrawingShown(guide.file(drawing), told(drawing.tells), drawing.height)
