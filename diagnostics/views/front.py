"""The front page, and "I don't know: ask me": which visit kind to book. Nothing is stored."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.core.asking.advice import ASKED, advise, is_passed_over
from diagnostics.core.findings import UNSURE, Answer, read_answers
from diagnostics.core.telling.bank_told import told_question
from diagnostics.models.sheets import Finding
from diagnostics.pages.front import advice_page, front_page
from diagnostics.pages.sheet import picks
from diagnostics.reads.bank import the_bank
from diagnostics.views.forms import read_given
from garage.core.errors import BadInput
from garage.pages.setting_up import not_open_lines
from garage.views.doors import once_open
from garage.views.requests import PageRequest, ShopRequest


@require_safe
def front(request: PageRequest) -> HttpResponse:
    if request.shop is None or not request.shop.is_open:
        return render(request, "garage/not_open.html", {"lines": not_open_lines(request.shop)})
    return render(request, "diagnostics/front.html", {"page": front_page(request.shop, now=request.now)})


@once_open
@require_safe
def ask_me(request: ShopRequest) -> HttpResponse:
    given, trouble = _given(request)
    open_question = next((q for q in ASKED if q not in given and not is_passed_over(q, given)), None)
    if open_question is None:
        answers = {question: answer for question, answer in given.items() if answer != Finding.NOT_TRIED}
        page = advice_page(advise(the_bank(), answers), request.shop, now=request.now)
        return render(request, "diagnostics/advice.html", {"page": page})
    question = told_question(the_bank().question(open_question))
    shown = {
        "question": question,
        "choices": picks(question, None),
        "carried": [(name, one) for name in given for one in request.GET.getlist(name)],
        "number": len(given) + 1,
        "about": len(ASKED),
        "trouble": trouble,
        "unsure": UNSURE,
    }
    return render(request, "diagnostics/ask.html", shown, status=422 if trouble else 200)


def _given(request: PageRequest) -> tuple[dict[str, Answer], str]:
    """The answers so far, up to the first invalid one; and the sentence about that one."""
    given: dict[str, Answer] = {}
    for name in ASKED:
        was_asked = name in request.GET or request.GET.get("asked") == name
        if not was_asked:
            continue
        try:
            answer = read_given(the_bank().question(name), request.GET, name)
            if answer != Finding.NOT_TRIED:
                read_answers(the_bank(), {name: answer})
        except BadInput as bad:
            return given, bad.sentence
        given[name] = answer
    return given, ""
