"""What the owner reads about a visit: its state and what happens next."""

from __future__ import annotations

from garage.core import routes, states
from garage.core.mail.wording import DO_NOT_RUN
from garage.core.selling.owner_choice import ASKED, MYSELF, WITH_US
from garage.core.text.languages import told, told_later

NEXT = {
    states.HELD: told_later("Press the link in our email: until then we hold the time, and it is not yours yet."),
    states.DEPOSIT_AWAITED: told_later("The time is held for you. It is yours for good once the deposit is here."),
    states.BOOKED: told_later(
        "Bring the machine at the time above. Before that, the check sheet tells us what to look at."
    ),
    states.TO_PUT_RIGHT: told_later("Something is to be put right before the rollers. We agree a new time with you."),
    states.HERE: told_later("The machine is with us. It is checked before any work begins."),
    states.ON_THE_BENCH: told_later("Somebody is working on it now."),
    states.ON_THE_ROLLERS: told_later("It is on the rollers now."),
    states.WAITING_FOR_PARTS: told_later("We go on as soon as the parts are here."),
    states.WAITING_FOR_OWNER: told_later("We need a word from you before we go on: please ring."),
    states.READY: told_later("You can collect it while we are open."),
    states.COLLECTED: told_later("Done and collected. What was found stays readable here."),
    states.CALLED_OFF: told_later("This visit is called off. You can book another one whenever you like."),
    states.LAPSED: told_later(
        "It was not confirmed in time, so the time is free again. Book another whenever you like."
    ),
    states.DID_NOT_COME: told_later("The machine did not come at its time. Ring us and we find another."),
}
NO_TIME_YET = told_later("No time is agreed yet: we ring or write to you.")
WORK_DONE = told_later("The work is done. We tell you as soon as you can collect it.")
CHOSEN = {  # fix first, while it is coming (garage/core/selling/owner_choice.py)
    ASKED: told_later("It needs putting right before the rollers. Choose below how; you keep your time until then."),
    MYSELF: told_later(
        "You put it right. Once it runs, the check sheet again, for how it revs out now. Then pick a time here."
    ),
    WITH_US: told_later(
        "Bring it at the time above and leave it with us: the bench puts it right, and the rollers follow as soon "
        "as it has passed the check before them."
    ),
}


def next_words(
    state: str, *, has_time: bool, route: str, sheet_sent: bool, work_done: bool = False, choice: str = ""
) -> tuple[str, ...]:
    """Sentences in order, safety first. work_done: the card is closed. choice: the owner's, if it is to be put right.

    >>> next_words("booked", has_time=True, route="", sheet_sent=True)
    ('Bring the machine at the time above. Your check sheet is here, thank you.',)
    """
    sentence = NEXT[state]
    if state == states.BOOKED and sheet_sent:
        sentence = told_later("Bring the machine at the time above. Your check sheet is here, thank you.")
    if state == states.BOOKED and not has_time:
        sentence = NO_TIME_YET
    if state in states.COMING and choice and not (choice == MYSELF and has_time):
        sentence = CHOSEN[choice]
    if work_done and state in states.IN_THE_BUILDING - {states.READY}:
        sentence = WORK_DONE
    danger = route == routes.DO_NOT_RUN and state in states.COMING
    return (told(DO_NOT_RUN), told(sentence)) if danger else (told(sentence),)
