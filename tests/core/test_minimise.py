"""The fewest terms: exact, prime and needed on random tables, fewest on small ones, and compared with SymPy."""

from __future__ import annotations

import itertools
from unittest.mock import patch

import pytest
import sympy
from hypothesis import example, given
from hypothesis import strategies as st
from sympy.logic import SOPform

from faultwright.conditions import Is, Terms, factored, of_terms
from faultwright.errors import Refused
from faultwright.minimise import MOST_EFFORT, minimised

Table = tuple[dict[str, tuple[str, ...]], list[bool]]


@st.composite
def tables(draw: st.DrawFn, *, sizes: tuple[int, ...] = (1, 2, 3, 4), most: int = 4, most_states: int = 64) -> Table:
    """Return controls with their positions, and what is so in each of their states."""
    counts: list[int] = []
    for size in draw(st.lists(st.sampled_from(sizes), max_size=most)):
        if size * len(list(itertools.product(*map(range, counts)))) <= most_states:
            counts.append(size)
    controls = {f"c{place}": tuple(f"p{number}" for number in range(count)) for place, count in enumerate(counts)}
    states = len(list(itertools.product(*controls.values())))
    pattern = draw(st.integers(0, 2**states - 1))
    return controls, [bool(pattern >> number & 1) for number in range(states)]


def states_of(controls: dict[str, tuple[str, ...]]) -> list[dict[str, str]]:
    """Return every state, the last control changing fastest."""
    return [dict(zip(controls, chosen, strict=True)) for chosen in itertools.product(*controls.values())]


def table(sizes: tuple[int, ...], so: str) -> Table:
    """Return a table written out: how many positions each control has, and 1 where it is so."""
    controls = {f"c{place}": tuple(f"p{number}" for number in range(count)) for place, count in enumerate(sizes)}
    return controls, [one == "1" for one in so]


@given(tables(), st.sampled_from((0, MOST_EFFORT)))
@example(table((3, 2, 2, 2), "111111100011011001010111"), 0)  # the first terms that come to hand hold a needless one
def test_minimised_terms_are_exact_prime_and_needed(drawn: Table, effort: int) -> None:
    """The terms hold exactly where they should; none can take one more position, and none can be left out.

    That is so even where the search for fewer is given up at once.
    """
    controls, so = drawn
    states = states_of(controls)
    with patch("faultwright.minimise.MOST_EFFORT", effort):
        terms = minimised(controls, so)

    def holding(some: Terms) -> list[bool]:
        return [of_terms(some).holds(state) for state in states]

    assert holding(terms) == so
    for number, term in enumerate(terms):
        others = terms[:number] + terms[number + 1 :]
        assert holding(others) != so
        for place, one in enumerate(term):
            for position in controls[one.control]:
                if position not in one.positions:
                    wider = (*term[:place], Is(one.control, (*one.positions, position)), *term[place + 1 :])
                    assert any(held and not wanted for held, wanted in zip(holding((wider,)), so, strict=True))


@given(tables(sizes=(2, 3), most=3, most_states=12))
@example(table((2, 3, 2), "001101111001"))  # the first terms that come to hand are as many, but longer
def test_no_fewer_terms_would_do_and_no_shorter_ones(drawn: Table) -> None:
    """On small tables no choice of fewer terms covers what is so, nor one of as many with fewer conditions."""
    controls, so = drawn
    states = states_of(controls)
    wanted = {number for number, one in enumerate(so) if one}
    subsets = [
        [set(some) for count in range(1, len(positions) + 1) for some in itertools.combinations(positions, count)]
        for positions in controls.values()
    ]
    lengths: dict[frozenset[int], int] = {}
    for chosen in itertools.product(*subsets):
        allowed = dict(zip(controls, chosen, strict=True))
        held = [number for number, state in enumerate(states) if all(state[name] in allowed[name] for name in allowed)]
        lengths[frozenset(held)] = sum(len(allowed[name]) < len(controls[name]) for name in controls)
    inside = [cover for cover in lengths if cover <= wanted]
    widest = [cover for cover in inside if not any(cover < other for other in inside)]
    ours = minimised(controls, so)
    assert not any(
        set().union(*some) == wanted for some in itertools.combinations(widest, max(0, len(ours) - 1)) if ours
    )
    least = min(
        sum(lengths[cover] for cover in some)
        for some in itertools.combinations(widest, len(ours))
        if set().union(*some) == wanted
    )
    assert sum(len(term) for term in ours) == least


@given(tables(sizes=(2,), most=6))
def test_another_program_needs_no_fewer_terms(drawn: Table) -> None:
    """Where controls have two positions, SymPy's sum of products says the same in as many terms, or in more."""
    controls, so = drawn
    names = sympy.symbols(list(controls))
    codes = list(itertools.product((0, 1), repeat=len(controls)))
    theirs = SOPform(names, [list(code) for code, one in zip(codes, so, strict=True) if one])
    assert [bool(theirs.subs(dict(zip(names, code, strict=True)))) for code in codes] == so
    count = len(theirs.args) if isinstance(theirs, sympy.Or) else int(theirs != sympy.false)
    assert len(minimised(controls, so)) <= count


@given(tables())
def test_what_is_factored_means_the_same(drawn: Table) -> None:
    """Terms with what they share said once hold where the terms do."""
    controls, so = drawn
    expression = factored(minimised(controls, so))
    assert [expression.holds(state) for state in states_of(controls)] == so


def test_what_is_too_tangled_is_refused() -> None:
    """That from four to eight of twelve switches are closed takes 12! / (4! 4! 4!) = 34,650 prime terms (derived)."""
    controls = {f"c{number}": ("0", "1") for number in range(12)}
    so = [4 <= sum(map(int, chosen)) <= 8 for chosen in itertools.product(*controls.values())]
    with pytest.raises(Refused) as refused:
        minimised(controls, so)
    assert str(refused.value) == "it depends on the controls in more than 5000 ways: too tangled to be told in words"
