"""Minimising what is so in some states of the controls: the fewest terms that say it, exactly.

Controls have any number of positions, so a term takes, for each control, a set of positions, and a term that cannot
be widened is *prime*. All primes are found control by control, as bit patterns over the states; then the fewest that
cover every state are chosen, by branch and bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import prod

from .conditions import Is, Terms
from .errors import Refused

MOST_PRIMES = 5000
"""Prime terms that are weighed; what has more is too tangled to be told in words."""
MOST_EFFORT = 200_000
"""States looked at in the search for fewer terms; then the fewest found so far are taken, none of them needless."""

Pattern = tuple[int, ...]
"""For each control the positions it may stand in, as a bit pattern (bit 0: its first position)."""


def minimised(controls: Mapping[str, Sequence[str]], so: Sequence[bool]) -> Terms:
    """Return the fewest terms that hold in exactly the states that are ``so``; of equally many, the shortest.

    ``controls`` maps each control to its positions; ``so`` goes through their combinations, the last control changing
    fastest. Raises Refused for what has more than :data:`MOST_PRIMES` prime terms.
    """
    sizes = tuple(len(positions) for positions in controls.values())
    wanted = sum(1 << number for number, one in enumerate(so) if one)
    primes = _primes(wanted, sizes, {})
    return tuple(_conditions(term, controls) for term in _fewest(wanted, primes, sizes))


def _conditions(term: Pattern, controls: Mapping[str, Sequence[str]]) -> tuple[Is, ...]:
    found: list[Is] = []
    for (control, positions), pattern in zip(controls.items(), term, strict=True):
        taken = tuple(position for place, position in enumerate(positions) if pattern >> place & 1)
        if len(taken) < len(positions):
            found.append(Is(control, taken))
    return tuple(found)


# Every prime term


def _primes(wanted: int, sizes: Sequence[int], known: dict[tuple[int, int], dict[Pattern, int]]) -> dict[Pattern, int]:
    """Return the prime terms of ``wanted``, each with the states it covers.

    Where several positions of the first control are allowed, the rest of a term must hold in what they have in
    common. A prime of that, with all the positions that it holds in, is prime, and every prime is found so.
    """
    if not sizes:
        return {(): 1} if wanted else {}
    key = (wanted, len(sizes))
    if key not in known:
        block = prod(sizes[1:])
        shares = [wanted >> place * block & (1 << block) - 1 for place in range(sizes[0])]
        found: dict[Pattern, int] = {}
        for common in _common(shares):
            for rest, covered in _primes(common, sizes[1:], known).items():
                places = [place for place, share in enumerate(shares) if not covered & ~share]
                term = (sum(1 << place for place in places), *rest)
                found[term] = sum(covered << place * block for place in places)
            _bounded(found)
        known[key] = found
    return known[key]


def _common(shares: Sequence[int]) -> set[int]:
    """Return what any of the shares have in common, each once, nothing left out."""
    found: set[int] = set()
    for share in shares:
        found |= {share, *(share & other for other in found)}
        _bounded(found)
    return found - {0}


def _bounded(found: set[int] | dict[Pattern, int]) -> None:
    if len(found) > MOST_PRIMES:
        raise Refused(f"it depends on the controls in more than {MOST_PRIMES} ways: too tangled to be told in words")


# The fewest that cover


def _fewest(wanted: int, primes: Mapping[Pattern, int], sizes: Sequence[int]) -> list[Pattern]:
    """Return the fewest primes that cover ``wanted``, the shortest first."""
    full = [(1 << size) - 1 for size in sizes]

    def conditions(term: Pattern) -> int:
        return sum(pattern != every for pattern, every in zip(term, full, strict=True))

    def place(term: Pattern) -> tuple[int, list[tuple[bool, int]]]:
        return conditions(term), [(pattern == every, pattern) for pattern, every in zip(term, full, strict=True)]

    terms = sorted(primes, key=place)
    chosen = _cover(wanted, [primes[term] for term in terms], [conditions(term) for term in terms])
    return [terms[number] for number in sorted(chosen)]


def _cover(wanted: int, covers: Sequence[int], lengths: Sequence[int]) -> list[int]:
    """Return the numbers of the fewest ``covers`` that hold all of ``wanted``; of equally many, the least length.

    Always the state that the fewest can cover comes next. States of which no two share a cover need one each, so
    what cannot end in fewer is given up.
    """
    at = {state: [number for number, cover in enumerate(covers) if cover >> state & 1] for state in _bits(wanted)}
    at = dict(sorted(at.items(), key=lambda entry: len(entry[1])))
    sharing = {state: sum(1 << number for number in numbers) for state, numbers in at.items()}
    best: tuple[int, int, tuple[int, ...]] | None = None
    effort = 0
    waiting: list[tuple[int, int, tuple[int, ...]]] = [(wanted, 0, ())]
    while waiting and (best is None or effort < MOST_EFFORT):
        left, length, chosen = waiting.pop()
        effort += left.bit_count()
        states = [state for state in at if left >> state & 1]
        needed = _at_least(states, sharing)
        if best is not None and (len(chosen) + needed, length + needed) >= best[:2]:
            continue
        if not left:
            best = (len(chosen), length, chosen)
            continue
        by_gain = sorted(at[states[0]], key=lambda number: ((covers[number] & left).bit_count(), -lengths[number]))
        waiting += [(left & ~covers[number], length + lengths[number], (*chosen, number)) for number in by_gain]
    return _without_needless(wanted, covers, best[2] if best else ())


def _bits(pattern: int) -> Iterator[int]:
    return (place for place in range(pattern.bit_length()) if pattern >> place & 1)


def _at_least(states: Sequence[int], sharing: Mapping[int, int]) -> int:
    """Return how many covers these states need at least."""
    found, taken = 0, 0
    for state in states:
        if not sharing[state] & taken:
            found += 1
            taken |= sharing[state]
    return found


def _without_needless(wanted: int, covers: Sequence[int], chosen: Sequence[int]) -> list[int]:
    """Return what is left of ``chosen`` when those that the others make needless are dropped."""
    kept = list(chosen)
    for number in chosen:
        others = 0
        for other in kept:
            others |= covers[other] if other != number else 0
        if not wanted & ~others:
            kept.remove(number)
    return kept
