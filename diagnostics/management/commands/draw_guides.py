"""Writes the guides' drawings as SVG files into the folder of static files."""

from django.conf import settings
from django.core.management.base import BaseCommand

from diagnostics.core.guides.guides import GUIDES


class Command(BaseCommand):
    help = "Draws the guides' drawings into static/drawings. A test says if a file is not what this makes."

    def handle(self, *args: object, **options: object) -> None:
        for guide in GUIDES:
            for drawing in guide.drawings:
                path = settings.BASE_DIR / "static" / guide.file(drawing)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(drawing.svg(), encoding="utf-8")
                print(path.relative_to(settings.BASE_DIR))
