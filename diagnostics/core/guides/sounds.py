"""The sounds that teach how a rev-out is heard: what each is, and its files below static/sounds.

They are made by a model (tests/revouts/taught.py), from whose truth every figure here is: a test compares them.
"""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.text.languages import told_later


@dataclass(frozen=True)
class Sound:
    """name, mark: of its files. seconds: its length. title, tells: what it is and what is heard in it.

    shows: its picture, for who cannot see it. The mark is of the files' bytes, so a browser may keep them for good.
    """

    name: str
    mark: str
    seconds: float
    title: str
    tells: str
    shows: str

    @property
    def sound_file(self) -> str:
        """Below the folder of static files."""
        return f"sounds/{self.name}.{self.mark}.mp3"

    @property
    def picture_file(self) -> str:
        """Below the folder of static files."""
        return f"sounds/{self.name}.{self.mark}.svg"


SOUNDS = (
    Sound(
        name="clean",
        mark="55d75d62",
        seconds=5.7,
        title=told_later("Clean"),
        tells=told_later(
            "One even note. It climbs without a stumble, passes the 8,800 on paper and stays there until the throttle "
            "shuts."
        ),
        shows=told_later(
            "The speed rises in one sweep from 1,500 to about 9,400 rpm within a second and holds level. Every one of "
            "the 24 turns fires."
        ),
    ),
    Sound(
        name="rich",
        mark="463b1800",
        seconds=5.7,
        title=told_later("Rich and lumpy"),
        tells=told_later(
            "It burbles and clears, burbles and clears: every turn, then every second, then every third. You can "
            "nearly count it. It still gets there."
        ),
        shows=told_later(
            "The speed rises in two steps to about 9,300 rpm and wanders there. Of the 24 turns the first seven fire, "
            "then about every second one."
        ),
    ),
    Sound(
        name="very-rich",
        mark="9ad58183",
        seconds=5.7,
        title=told_later("Very rich"),
        tells=told_later(
            "It fires every fourth turn: a slow, even beat, two octaves below the clean note. It is late, but it goes "
            "on climbing as long as you hold it open."
        ),
        shows=told_later(
            "The speed climbs slowly and is still climbing at about 8,300 rpm when the throttle shuts. Of the 24 turns"
            " every fourth one fires."
        ),
    ),
    Sound(
        name="false-ceiling",
        mark="179d7d9d",
        seconds=5.7,
        title=told_later("A false ceiling"),
        tells=told_later(
            "It stutters with no beat that you could count, and stays at about 6,500 of 8,800 however long you hold "
            "it. The spark breaks down."
        ),
        shows=told_later(
            "The speed rises cleanly to about 6,500 rpm and then jitters there. Red strokes mark eleven stretches "
            "without firing. Of the 24 turns eight in a row fire, with none before and none after."
        ),
    ),
    Sound(
        name="fails-warm",
        mark="d393c5d3",
        seconds=6.3,
        title=told_later("Fails as it warms"),
        tells=told_later(
            "Clean for nearly a second and a half. Then it breaks up and sinks, though the throttle stays wide open."
        ),
        shows=told_later(
            "The speed rises cleanly to about 9,400 rpm, and from 2.9 seconds on falls to about 5,800 with the "
            "throttle still open. Red strokes mark the stretches without firing. Of the 24 turns the first twelve "
            "fire, then only one."
        ),
    ),
    Sound(
        name="limiter",
        mark="ce41550b",
        seconds=5.7,
        title=told_later("A limiter of its own"),
        tells=told_later(
            "An even rattle, nine times a second, always at the same speed, and that speed is the one on paper. "
            "Nothing is wrong."
        ),
        shows=told_later(
            "The speed rises cleanly to about 8,900 rpm and then makes small even teeth there. Short red strokes come "
            "at even distances. Of the 24 turns twelve fire, seven do not, five fire."
        ),
    ),
)

UNNAMED = (
    Sound(
        name="unnamed-1",
        mark="a6a03dc5",
        seconds=5.7,
        title=told_later("A false ceiling"),
        tells=told_later(
            "It stays at about 7,400 of 8,800, and the misses have no beat. It sounds busy, so it passes for rich. A "
            "rich one would go on climbing."
        ),
        shows=told_later(
            "The speed rises cleanly to about 7,500 rpm and then jitters there. Red strokes mark the stretches without"
            " firing, of uneven length."
        ),
    ),
    Sound(
        name="unnamed-2",
        mark="2c5c115e",
        seconds=5.7,
        title=told_later("Very rich"),
        tells=told_later(
            "Every fourth turn. You can count the beat, and the speed is still rising at the end. The spark is there "
            "each time."
        ),
        shows=told_later(
            "The speed climbs slowly and is still climbing at about 8,300 rpm when the throttle shuts. Of the 24 turns"
            " every fourth one fires."
        ),
    ),
    Sound(
        name="unnamed-3",
        mark="1b17b674",
        seconds=6.3,
        title=told_later("Fails as it warms"),
        tells=told_later(
            "Clean for 1.7 seconds, then it breaks up. Whoever shuts the throttle after a second calls this one clean."
        ),
        shows=told_later(
            "The speed rises cleanly to about 9,400 rpm, and from 3.2 seconds on falls to about 6,500 with the "
            "throttle still open. Red strokes mark the stretches without firing."
        ),
    ),
)  # to test oneself: title, tells and shows are the answer
