import pytest

from garage.core.text.browser_words import UNKNOWN, browser_words

WEBKIT = "AppleWebKit/537.36 (KHTML, like Gecko)"


@pytest.mark.parametrize(
    ("user_agent", "words"),
    [
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:128.0) Gecko/20100101 Firefox/128.0", "Firefox on Windows"),
        (f"Mozilla/5.0 (Windows NT 10.0) {WEBKIT} Chrome/126.0 Safari/537.36 Edg/126.0", "Edge on Windows"),
        (f"Mozilla/5.0 (Linux; Android 14) {WEBKIT} Chrome/126.0 Mobile Safari/537.36", "Chrome on Android"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) Version/17.5 Safari/604.1", "Safari on an iPhone"),
        ("Mozilla/5.0 (iPad; CPU OS 17_5 like Mac OS X) CriOS/126.0 Safari/604.1", "Chrome on an iPad"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15) Version/17.5 Safari/605.1.15", "Safari on a Mac"),
        ("Something/1.0 (Linux)", "A browser on Linux"),
        ("Something Firefox/3", "Firefox"),
        ("", UNKNOWN),
        ("curl/8.0", UNKNOWN),
    ],
)
def test_a_browser_is_named_in_plain_words(user_agent, words):
    assert browser_words(user_agent) == words


def test_what_a_browser_says_never_comes_through_itself():
    assert browser_words("<script>" * 500) == UNKNOWN
