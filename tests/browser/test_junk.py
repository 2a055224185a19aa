"""Some hundred posts of junk to the forms and links of a garage with the demo: `make bench` sends thousands."""

from __future__ import annotations

import pytest

from tests.bench.junk import walked
from tests.junk.forms import forms_on, lost
from tests.prepared import copied

POSTS = 500


@pytest.mark.long(minutes=2)
def test_junk_breaks_no_page_and_what_was_typed_is_still_there(demo_data, tmp_path):
    said = walked(copied(demo_data, tmp_path / "garage"), "", POSTS, seed=1)
    assert said["wrong"] == []
    assert said["forms"] > 300
    assert said["answered"]["post 302"] > 50  # what is accepted is looked at too
    assert said["answered"]["post 422"] > 50


FORM = '<form method="post" action="/a/"><input name="why" value="{}"><textarea name="words">\n{}</textarea></form>'


def test_the_walk_sees_what_a_form_has_lost():
    (form,) = forms_on(FORM.format("", ""), "/a/")
    assert (form.path, form.method, form.kinds) == ("/a/", "post", {"why": "text", "words": "textarea"})
    typed = {"why": ["it’s late"], "words": ["one\r\ntwo"], "other": ["x"]}
    assert lost(FORM.format("it’s late", "one\ntwo"), "/a/", typed) == []
    assert lost(FORM.format("", "one\ntwo"), "/a/", typed) == ["why"]
    assert lost(FORM.format("", ""), "/elsewhere/", typed) == []
