"""The tour's reader of pages: words, links, and forms as a browser would send them."""

from jobs.tour.pages import Page

HTML = """
<head><title>Not read</title></head><main><h1>Give  it
a time</h1><p>Visit <b>7</b></p><a href="/visits/7/">Back to the <span>visit</span></a>
<form method="post" action="/x/"><input type="hidden" name="key" value="k"><input type="checkbox" name="tick" value="a">
<input type="checkbox" name="tick" value="b" checked><textarea name="why">
as said</textarea>
<select name="how"><option value="cash">Cash</option><option value="card" selected>Card</option></select>
<select name="first"><option value="1">One</option><option value="2">Two</option></select>
<button name="do" value="it" aria-label="Do it now">Do</button></form></main>
"""


def test_words_stand_in_order_one_line_a_block():
    assert Page(HTML).text.splitlines()[:2] == ["Give it a time", "Visit 7"]
    assert "Not read" not in Page(HTML).text


def test_a_link_has_its_words_and_its_address():
    assert Page(HTML).links == [("Back to the visit", "/visits/7/")]


def test_a_form_sends_what_a_browser_would_send():
    (form,) = Page(HTML).forms
    assert (form.method, form.action) == ("post", "/x/")
    assert form.fields == {"key": ["k"], "tick": ["b"], "why": ["as said"], "how": ["card"], "first": ["1"]}
    assert form.names == {"key", "tick", "why", "how", "first"}


def test_a_button_is_found_by_its_text_label_or_value():
    (button,) = Page(HTML).forms[0].buttons
    assert button.is_called("Do it now")
    assert button.is_called("it")
    assert not button.is_called("Undo")
