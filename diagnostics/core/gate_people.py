"""Who may do what at a gate: the second person within call, and the person who lets a failed gate pass.

Common practice, no source: whoever runs the machine cannot also be the one who is called, nor the judge of what they
have just found wanting.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from diagnostics.core.gate_list import BAD, BENCH_LINES, ITEMS, STRAPPED_LINES, is_let_through
from garage.core.errors import BadInput, Refused, Unquoted

# Whoever runs it all the same is burnt, gassed, struck or cannot stop it. Common practice, no source.
NEVER_OVERRIDDEN = frozenset(
    {"kill-switch", "leaks", "brakes", "strapping", "extraction", "co-alarm", "emergency-stop"}
)
LEAST_REASON = 20  # characters: a sentence, where "ok" or "in a hurry" says nothing. Common practice, no source
MOST_REASON = 200  # characters, what the row holds
SECOND_PERSON = "Second person within call"  # the field, as its label calls it


@dataclass(frozen=True, slots=True)
class GatePerson:
    """id: among the shop's people. may_override: whether this person may let a failed gate pass at all (the boss)."""

    id: int
    name: str
    may_override: bool


def check_second_person(second: GatePerson | None, ran_it: Collection[int]) -> None:
    """Raises BadInput unless somebody is within call who is not among those running the gate. ran_it: their ids."""
    allowed = "one of the shop's people, and not who runs the gate"
    if second is None:
        raise BadInput(SECOND_PERSON, None, allowed)
    if second.id in ran_it:
        raise BadInput(SECOND_PERSON, Unquoted(f"{second.name}, who runs the gate"), allowed)


def why_no_override(person: GatePerson, ran_it: Collection[int]) -> str:
    """Why this person may not let the failed gate pass, whatever failed; empty if they may. ran_it: who ran the gate.

    >>> why_no_override(GatePerson(7, "Jo Dacre", may_override=False), {3})
    'Only the boss lets a failed gate pass, and only with a reason in writing. Ask the boss, or put it right.'
    """
    if not person.may_override:
        return (
            "Only the boss lets a failed gate pass, and only with a reason in writing. Ask the boss, or put it right."
        )
    if person.id in ran_it:
        return (
            f"{person.name} ran this gate, so another person who may has to let it pass. Otherwise put it right and "
            "do the gate again."
        )
    return ""


def checked_override(person: GatePerson, ran_it: Collection[int], reason: str) -> str:
    """The reason as it is kept. Raises Refused if the person may not, BadInput if the reason says too little."""
    if why := why_no_override(person, ran_it):
        raise Refused(why)
    reason = " ".join(reason.split())
    if not LEAST_REASON <= len(reason) <= MOST_REASON:
        found = Unquoted(f"{len(reason)} characters") if reason else None
        raise BadInput(
            "The reason",
            found,
            f"why it may go on the rollers all the same, in {LEAST_REASON} to {MOST_REASON} letters",
        )
    return reason


def failed_for_good(results: Mapping[str, str]) -> tuple[str, ...]:
    """Of the lines that failed, those that nobody overrides, as sentences. results: item id to ok, bad or na.

    >>> failed_for_good({"brakes": "bad", "tyre": "bad", "leaks": "ok"})
    ('The brakes are not in order.',)
    """
    return tuple(item.bad for item in ITEMS if item.id in NEVER_OVERRIDDEN and results.get(item.id) == BAD)


def not_for_the_road(results: Mapping[str, str], let_through: Collection[str]) -> tuple[str, ...]:
    """What stands against a test ride, as sentences: a boss may let a worn tyre through for one low-speed run on the
    rollers, and nobody for the road. What is strapped down matters there alone.

    results: as above. let_through: what failed the gate and was overridden, as sentences.

    >>> not_for_the_road({"tyre": "bad", "ears": "bad"}, ["Ear protection is missing.", "The rev-out shows a ceiling."])
    ('The tyre is not fit for the rollers.', 'The rev-out shows a ceiling.')
    """
    bad = [line for line in BENCH_LINES if results.get(line.id) == BAD]
    said = [fail for fail in let_through if not any(is_let_through(line, [fail]) for line in (*bad, *STRAPPED_LINES))]
    return (*(line.bad for line in bad), *said)
