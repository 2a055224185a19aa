"""A plain word for a browser, from what it says of itself (User-Agent, RFC 9110, 10.1.5)."""

from __future__ import annotations

UNKNOWN = "a browser that does not say which"

# The first that is found counts: most browsers also name those that they are like. From memory of what they send.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung’s browser"),
    ("FxiOS/", "Firefox"),
    ("Firefox/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
MACHINES = (
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Macintosh", "a Mac"),
    ("CrOS", "a Chromebook"),
    ("Linux", "Linux"),
)


def browser_words(user_agent: str) -> str:
    """Browser and machine, as far as they can be told. What is not known is left out; a browser may also lie.

    >>> browser_words("Mozilla/5.0 (X11; Linux x86_64; rv:128.0) Gecko/20100101 Firefox/128.0")
    'Firefox on Linux'
    """
    browser = next((word for sign, word in BROWSERS if sign in user_agent), "")
    machine = next((word for sign, word in MACHINES if sign in user_agent), "")
    if not machine:
        return browser or UNKNOWN
    return f"{browser or 'A browser'} on {machine}"
