"""Statements about the controls: read as people write them, refused with every mistake, written and put in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultwright.circuit import Circuit, Control
from faultwright.conditions import Every, Expression, Is, Not, Some, factored, in_words, written
from faultwright.errors import Refused
from faultwright.statements import MOST_BRACKETS, parse_condition
from tests.core.depot import GATE, circuit
from tests.core.interlocks import NEUTRAL_OR_BOTH

CONTROLS = circuit(NEUTRAL_OR_BOTH).controls


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("neutral or clutch in or stand up", "gear=neutral or clutch=in or stand=up"),
        ("clutch in and (stand up or gear=neutral)", "clutch=in and (stand=up or gear=neutral)"),
        ("Clutch lever in AND stand is up", "clutch=in and stand=up"),
        ("not neutral and not (clutch = in or up)", "not gear=neutral and not (clutch=in or stand=up)"),
        ("not not ((pressed))", "start=pressed"),
        ("always", "always"),
        ("never or pressed", "never or start=pressed"),
        ("in or up and pressed", "clutch=in or stand=up and start=pressed"),
    ],
)
def test_statements_are_read_as_people_write_them(text: str, meaning: str) -> None:
    """Control or label with position, or the position alone; 'not' binds before 'and', 'and' before 'or'."""
    assert written(parse_condition(text, circuit(NEUTRAL_OR_BOTH)).expression) == meaning


HOW = (
    "(write always, never, or positions joined by and, or, not and brackets: gear=neutral, gear=engaged, clutch=out, "
    "clutch=in, stand=down, stand=up, start=released, start=pressed)"
)
CLUCH = "there is no control 'cluch'; did you mean 'clutch'? (allowed: gear, clutch, stand, start)"


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("", [f"it is empty {HOW}"]),
        ("nuetral", [f"'nuetral' is no position of a control; did you mean 'neutral'? {HOW}"]),
        ("nuetral or sideways", [f"'nuetral' is no position of a control; did you mean 'neutral'? {HOW}",
                                 "'sideways' is no position of a control"]),
        ("clutch pulled", ["control clutch: there is no position 'pulled' (allowed: out, in)"]),
        ("Stand = upp", ["control stand: there is no position 'upp'; did you mean 'up'? (allowed: down, up)"]),
        ("cluch=in", [CLUCH]),
        ("stand or neutral", ["'stand' is a control, not a position; write stand=down or stand=up"]),
        ("up and", ["nothing stands after 'and'"]),
        ("or up", ["nothing stands before 'or'"]),
        ("up or or in", ["nothing stands between 'or' and 'or'"]),
        ("(up) in", ["'and' or 'or' is missing between ')' and 'in'"]),
        ("up not in", ["'and' or 'or' is missing between 'up' and 'not'"]),
        ("(up or in", ["a '(' is not closed"]),
        ("up or in)", ["a ')' has no '(' before it"]),
        ("()", ["nothing stands between '(' and ')'"]),
        ("cluch=in and (up", [CLUCH, "a '(' is not closed"]),
    ],
)  # fmt: skip
def test_every_mistake_in_a_statement_is_named(text: str, messages: list[str]) -> None:
    """Each mistake has a message of its own, with the nearest name, and all come at once."""
    with pytest.raises(Refused) as refused:
        parse_condition(text, circuit(NEUTRAL_OR_BOTH))
    assert [str(mistake) for mistake in refused.value.mistakes] == [f"statement {text!r}: {one}" for one in messages]


def test_a_position_of_two_controls_must_say_whose() -> None:
    """'released' alone can be either button's, so the ways to write it are named."""
    with pytest.raises(Refused) as refused:
        parse_condition("released", circuit(GATE))
    assert str(refused.value) == (
        "statement 'released': 'released' can be read in 2 ways; write stop=released or start=released"
    )


def test_endless_statements_are_refused() -> None:
    """A statement that is too long, or whose brackets stand too deep, is refused before it costs anything."""
    deep = "(" * (MOST_BRACKETS + 1) + "up" + ")" * (MOST_BRACKETS + 1)
    for text, message in (
        (deep, f"statement '{deep[:60]}…': brackets stand more than 50 deep inside one another"),
        ("up or " * 500 + "up", "statement: it has 3002 letters; 2000 at most are read"),
    ):
        with pytest.raises(Refused) as refused:
            parse_condition(text, circuit(NEUTRAL_OR_BOTH))
        assert str(refused.value) == message


WORDS = {
    "lever": Control("lever", "Drive and lift", ("not set", "half (up)", "up or down", "OFF")),
    "key": Control("key", "Ignition", ("off", "always", "on")),
    "lamp": Control("lamp", "Key", ("off", "on")),
}


def expressions() -> st.SearchStrategy[Expression]:
    """Return expressions over controls whose positions, or labels, are words that could be read otherwise."""
    single = st.sampled_from(list(WORDS.values())).flatmap(
        lambda control: st.lists(st.sampled_from(control.positions), min_size=1, unique=True).map(
            lambda some: Is(control.name, tuple(some))
        )
    )
    return st.recursive(
        single,
        lambda inner: st.one_of(
            inner.map(Not),
            st.lists(inner, max_size=3).map(lambda parts: Every(tuple(parts))),
            st.lists(inner, max_size=3).map(lambda parts: Some(tuple(parts))),
        ),
        max_leaves=8,
    )


@given(expressions())
def test_what_is_written_is_read_back(expression: Expression) -> None:
    """An expression as written means the same when it is read, whatever words its positions are."""
    machine = Circuit("yard", "", 12.0, {}, {}, WORDS)
    again = parse_condition(written(expression), machine)
    assert [again.holds(state) for state in machine.states()] == [expression.holds(state) for state in machine.states()]


def test_words_put_brackets_where_they_are_needed() -> None:
    """'or' inside 'and' or 'not' stands in brackets, in words as in writing; labels begin small inside a sentence."""
    either = Is("gear", ("neutral", "engaged"))
    inside = Every((either, Not(Some((Is("stand", ("up",)), Is("start", ("pressed",)))))))
    assert written(inside) == "(gear=neutral or gear=engaged) and not (stand=up or start=pressed)"
    assert in_words(inside, CONTROLS) == "(gear lever neutral or engaged) and not (stand up or start button pressed)"
    up = Is("stand", ("up",))
    assert (
        in_words(factored(((up, either), (up,))), CONTROLS)
        == "stand up and (gear lever neutral or engaged), or stand up"
    )
    assert in_words(Is("pto", ("in",)), {"pto": Control("pto", "PTO lever", ("out", "in"))}) == "PTO lever in"
