"""Amounts are in the shop's money everywhere: one place knows its sign, and a garage in euros shows no pound."""

import ast
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.mail.messages import letter
from garage.changes.shop.shop import change_settings
from garage.core.currencies import CURRENCIES, in_currency, in_force
from garage.core.errors import BadInput
from garage.models.shop import Shop
from jobs.changes import invoices
from jobs.papers.invoice import invoice_pdf
from tests.factories import garage, jobs
from tests.jobs.views.test_invoice import ready_to_invoice, words_of
from tests.rules.test_links_are_ones_own import MINE, address, all_of, behind_a_token, party
from tests.rules.tree import ROOT, parsed, room_files, short

SIGN, UNITS = "£", re.compile(r"\b(pounds|pence)\b")
KNOWS = {"garage/core/currencies.py", "garage/core/drawing/text_width.py"}  # how wide each character is drawn
TELLS = ("jobs/demo/", "jobs/tour/")  # the demo's garage is in Britain


def said_in(path, words):
    """Its strings in which the words are found, without those that explain."""
    if not words.search(path.read_text(encoding="utf-8")):
        return []
    explains = {id(node.value) for node in ast.walk(parsed(path)) if isinstance(node, ast.Expr)}
    said = [node for node in ast.walk(parsed(path)) if isinstance(node, ast.Constant) and id(node) not in explains]
    return [node.value for node in said if isinstance(node.value, str) and words.search(node.value)]


def test_no_module_but_one_says_pounds():
    found = {short(path) for path in room_files() if said_in(path, re.compile(SIGN))}
    assert {path for path in found if not path.startswith(TELLS)} == KNOWS
    labels = {short(path): [said for said in said_in(path, UNITS) if " " in said] for path in room_files("views")}
    assert {path: said for path, said in labels.items() if said} == {}


def test_no_template_and_no_script_says_pounds():
    files = [*(ROOT / "templates").rglob("*.*"), *(ROOT / "static").glob("*.js"), *(ROOT / "static").glob("*.css")]
    assert len(files) > 200
    assert [short(path) for path in files if SIGN in path.read_text(encoding="utf-8")] == []


def test_no_template_says_what_the_tax_is_called():
    files = [*(ROOT / "templates").rglob("*.*")]
    assert [short(path) for path in files if re.search(r"\bVAT\b", bare(path.read_text(encoding="utf-8")))] == []


def bare(template):
    """Without its comments and conditions."""
    text = re.sub(r"{% comment %}.*?{% endcomment %}", "", template, flags=re.DOTALL)
    return re.sub(r"{[{%#].*?[%}#]}", "", text)


@pytest.fixture
def in_euros():
    return garage.shop(currency="EUR", vat_number="IE6433435F", country="IE")


@pytest.mark.django_db
def test_every_page_behind_an_owners_link_is_in_the_shops_money(in_euros, client):
    visit = party(MINE, "QF19 JOC", "Tansy")
    pages = {pattern.name: all_of(client.get(address(pattern, visit, visit))) for pattern in behind_a_token()}
    assert [name for name, page in pages.items() if SIGN in page] == []
    assert {"owner-visit", "owner-asked", "owner-go-on"} & {name for name, page in pages.items() if "€" in page}


@pytest.mark.django_db
def test_pages_and_labels_of_the_workshop_are_in_the_shops_money(in_euros, client):
    visit = jobs.visit_here()
    client.force_login(garage.boss())
    opened = {name: client.get(reverse(name)).text for name in ("front", "the-book", "book-owed", "shop", "shop-kinds")}
    opened["shop"] = opened["shop"].replace(CURRENCIES["GBP"], "")  # which it may choose
    opened |= {name: client.get(reverse(name, args=[visit.number])).text for name in ("visit", "card", "card-ask")}
    assert [name for name, page in opened.items() if SIGN in page or UNITS.search(page)] == []
    assert "Labour, euros an hour" in opened["shop"]
    assert "A telephone call, cents" in opened["shop"]
    for name in ("visit", "the-book", "front"):
        assert "€" in opened[name], name


@pytest.mark.django_db
def test_an_amount_typed_with_the_shops_sign_is_taken_and_another_is_refused_in_its_words(in_euros, client):
    visit = jobs.visit_here()
    client.force_login(garage.boss())
    answer = client.post(reverse("deposit-add", args=[visit.number]), {"amount": "£30", "how": "cash"})
    assert "an amount in euros from 0 to 999,999.99" in answer.text
    answer = client.post(reverse("deposit-add", args=[visit.number]), {"amount": "€30", "how": "cash"}, follow=True)
    assert "an amount in euros" not in answer.text


@pytest.mark.django_db
@pytest.mark.parametrize("what", ["visit_booked", "left_with_us", "goes_on", "to_fix_at_home", "put_off"])
def test_a_mail_is_in_the_shops_money_though_no_page_has_set_it(in_euros, what):
    visit = garage.visit(deposit=30, deposit_paid=20, bench_limit_pounds=120)
    mail = letter(what, visit=visit, shop=in_euros, context={})
    assert SIGN not in mail.text + mail.html
    assert "€" in mail.text
    assert "€" in mail.html


def test_what_was_in_force_is_in_force_again_afterwards_whatever_happens():
    with pytest.raises(ZeroDivisionError), in_currency("EUR"):
        raise ZeroDivisionError
    assert in_force() == "GBP"


@pytest.mark.django_db
def test_an_invoice_keeps_its_own_money_when_the_shop_takes_another(client):
    garage.shop()
    paper = invoices.issue(ready_to_invoice().visit, by=garage.boss(), now=timezone.now())
    garage.shop(currency="EUR")
    client.force_login(garage.boss())
    assert SIGN in client.get(reverse("invoice", args=[paper.number])).text


@pytest.mark.django_db
def test_the_tax_on_sales_is_called_as_the_shop_says_and_on_a_paper_as_it_was_then(client):
    garage.shop()
    visit = ready_to_invoice().visit
    Shop.objects.update(tax_name="IVA", vat_number="GB987654321")
    paper = invoices.issue(visit, by=garage.boss(username="first"), now=timezone.now())
    client.force_login(garage.boss())
    labels = client.get(reverse("shop")).text
    assert "IVA, per cent" in labels
    assert "VAT, per cent" not in labels
    Shop.objects.update(tax_name="GST")
    page = client.get(reverse("invoice", args=[paper.number])).text
    assert "IVA at 20" in page
    assert "GST at" not in page
    printed = words_of(invoice_pdf(paper))
    assert ("IVA number GB987654321" in printed, "VAT" in printed, "GST" in printed) == (True, False, False)


@pytest.mark.django_db
def test_the_tax_on_sales_is_called_something():
    garage.shop()
    with pytest.raises(BadInput, match="1 to 12 characters"):
        change_settings(by=garage.boss(), now=timezone.now(), tax_name=" ")
