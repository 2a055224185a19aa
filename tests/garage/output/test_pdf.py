import io

import pypdf
import pytest

from garage.output.paper_trouble import PaperTrouble
from garage.output.pdf import pdf

PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A paper</title><style>
@font-face {{ font-family: Hyperlegible; src: url("{font}"); }} body {{ font-family: Hyperlegible; }}</style></head>
<body><p>Main jet 98, £12.50</p>{more}</body></html>"""
FONT = "/static/vendor/atkinson/atkinson-hyperlegible-next-latin-400-normal.woff2"


def read(paper):
    return pypdf.PdfReader(io.BytesIO(paper))


def test_a_paper_holds_its_words_and_our_own_font():
    paper = read(pdf(PAGE.format(font=FONT, more="")))
    assert "Main jet 98, £12.50" in paper.pages[0].extract_text()
    fonts = paper.pages[0]["/Resources"]["/Font"].values()
    assert any("Hyperlegible" in font.get_object()["/BaseFont"] for font in fonts)


@pytest.mark.parametrize(
    "address",
    [
        "https://example.com/picture.png",
        "http://127.0.0.1:1/picture.png",
        "file:///etc/hostname",
        "/static/../garage/settings.py",
        "/static/nowhere.png",
        "/media/photos/x.jpg",
    ],
)
def test_a_paper_fetches_nothing_but_static_files_that_are_there(address):
    with pytest.raises(PaperTrouble, match="may not fetch"):
        pdf(PAGE.format(font=FONT, more=f'<img src="{address}" alt="">'))


def test_a_font_that_is_missing_is_trouble_and_not_another_font():
    with pytest.raises(PaperTrouble):
        pdf(PAGE.format(font="/static/vendor/atkinson/nowhere.woff2", more=""))
