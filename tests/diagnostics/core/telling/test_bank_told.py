"""The bank's texts in each language, with the one set of numbers that it has."""

from __future__ import annotations

import json
import re
from dataclasses import fields
from gettext import GNUTranslations

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.findings import read_case
from diagnostics.core.judging.judgement_json import to_json
from diagnostics.core.telling.bank_told import told_question
from diagnostics.reads.bank import the_bank
from garage.core.text.languages import GERMAN, ITALIAN, in_figures, in_language
from tests.rules.tree import ROOT

SPOKEN = pytest.mark.parametrize("language", [GERMAN, ITALIAN])
TEXTS = {"ask", "how", "cautions", "answers", "unit"}
SAME_WORD = {"No"}  # in Italian
FIGURE = re.compile(r"\d+(?:[.,]\d+)*")
CASE = {
    "case": "A",
    "booked": "set-up",
    "answers": {"trouble": "misfires", "rev_out": "ceiling", "pinking": "yes", "strobe_idle": 17.5},
}


def catalogue(language: str) -> GNUTranslations:
    with (ROOT / f"diagnostics/locale/{language}/LC_MESSAGES/django.mo").open("rb") as file:
        return GNUTranslations(file)


def texts_for_owners(bank: Bank) -> list[str]:
    said = [fault.say for fault in bank.faults]
    for question in bank.questions:
        said += [question.ask, *question.how, *question.cautions, *(choice.say for choice in question.answers)]
        said += [question.unit] if question.unit else []
    return said


@SPOKEN
def test_every_text_of_the_bank_that_owners_read_is_translated(language):
    find = catalogue(language).gettext
    said = texts_for_owners(the_bank())
    assert len(said) > 150
    assert [text for text in said if find(text) == text and text not in SAME_WORD] == []


@SPOKEN
def test_each_figure_in_a_text_of_the_bank_is_the_same_in_each_language(language):
    find = catalogue(language).gettext
    said = texts_for_owners(the_bank())
    with_figures = [text for text in said if FIGURE.search(text)]
    assert with_figures
    with in_language(language, find):
        assert [text for text in with_figures if not _keeps_figures(text, find(text))] == []


@SPOKEN
def test_a_question_differs_only_in_its_texts(language):
    for question in the_bank().questions:
        with in_language(language, catalogue(language).gettext):
            spoken = told_question(question)
        assert [choice.id for choice in spoken.answers] == [choice.id for choice in question.answers]
        assert spoken.ask != question.ask
        assert _without_texts(spoken) == _without_texts(question)


@SPOKEN
def test_a_case_is_judged_to_the_last_figure_alike_whoever_reads_it(language):
    english = _judged()
    with in_language(language, catalogue(language).gettext):
        assert _judged() == english


def _judged() -> str:
    return json.dumps(to_json(assess(the_bank(), read_case(the_bank(), CASE))))


def _without_texts(question: Question) -> dict[str, object]:
    return {field.name: getattr(question, field.name) for field in fields(question) if field.name not in TEXTS}


def _keeps_figures(english: str, spoken: str) -> bool:
    return {in_figures(figure) for figure in FIGURE.findall(english)} <= set(FIGURE.findall(spoken))
