"""Writes the guides' drawings as SVG files into the folder of static files, one set for each language."""

from itertools import product

from django.conf import settings
from django.core.management.base import BaseCommand

from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import GUIDES
from garage.core.text.languages import LANGUAGES
from garage.output.speaking import speaking


class Command(BaseCommand):
    help = "Draws the guides' drawings into static/drawings. A test says if a file is not what this makes."

    def handle(self, *args: object, **options: object) -> None:
        for code, guide in product(LANGUAGES, GUIDES):
            with speaking(code):
                _draw(guide)


def _draw(guide: Guide) -> None:
    for drawing in guide.drawings:
        path = settings.BASE_DIR / "static" / guide.file(drawing)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(drawing.svg(), encoding="utf-8")
        print(path.relative_to(settings.BASE_DIR))
