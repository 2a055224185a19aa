"""The drawn day as it stands in a page: nothing a strict content policy would stop, everything escaped."""

import re
from dataclasses import replace

from django.template.loader import render_to_string

from garage.core.drawing.threads import draw
from tests.garage.core.sheet_drawing import four_machines


def rendered(sheet) -> str:
    return render_to_string("parts/_thread.html", {"drawing": draw(sheet)})


def test_it_is_a_picture_with_a_name_and_without_styles_or_scripts():
    svg = rendered(four_machines())
    assert re.search(r'<svg[^>]*role="img"', svg)
    assert 'aria-label="Day sheet, Wednesday 10 March. 4 machines as threads' in svg
    assert not re.search(r"style|<script|\son\w+=|href", svg)


def test_every_label_and_bar_of_the_drawing_is_in_it():
    drawing = draw(four_machines())
    svg = rendered(four_machines())
    assert svg.count('-bar"') == len(drawing.bars)
    for label in drawing.labels:
        assert f">{label.text}</text>" in svg


def test_text_typed_by_an_owner_is_escaped():
    sheet = four_machines()
    spoilt = replace(sheet.threads[0], label='41 <b onload="x">')
    svg = rendered(replace(sheet, threads=(spoilt,)))
    assert "<b" not in svg
    assert "41 &lt;b" in svg
