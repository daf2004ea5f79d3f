"""Routes: known ones of invented machines, every one of small graphs, and what the solver says of the same diagrams."""

from __future__ import annotations

import itertools
from pathlib import Path

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import faultwright_course
from faultwright.assembly import build
from faultwright.candidates import isolation
from faultwright.circuit import FRAME, Circuit
from faultwright.circuit_file import read_circuit
from faultwright.conditions import of_terms, with_relays, written
from faultwright.errors import Refused
from faultwright.machine import Machine
from faultwright.meter import OHMS, OVERLOAD, Probe, read
from faultwright.moves import control_moves
from faultwright.parts import Role, sources
from faultwright.permission import behaviour_permissions, route_permissions
from faultwright.route_graph import Passage, ways, worth_walking
from faultwright.route_sets import RouteSet
from faultwright.routes import load_routes, loads, routes_between
from faultwright.solve import Solver
from faultwright.state_table import ways_to_settle
from tests.core.depot import GATE, MOWER, circuit
from tests.core.interlocks import ANY_OF_THREE, CHIPPER, NEUTRAL_OR_BOTH, WINCH
from tests.core.strategies import all_terminals, circuits
from tests.tiers import large_ones_slow

COURSE = Path(faultwright_course.__file__).parent / "circuits"


def places(found: RouteSet) -> list[str]:
    """Return the places of each route, written in one line."""
    return [" ".join(route.places) for route in found.routes]


def when(found: RouteSet) -> str:
    """Return where one of the routes is closed, as a statement."""
    return written(of_terms(found.terms))


# Machines whose routes are known


def test_any_of_three_routes_enables_by_ground() -> None:
    """The input's line finds ground by three routes side by side, through splice and connector; none is in series."""
    feed, back, signal = load_routes(circuit(ANY_OF_THREE), "A1")
    assert places(feed) == ["W1 F1 W2 S1 W3"]
    assert feed.series == ("S1",)
    assert places(back) == ["W13 FRAME W14"]
    assert sorted(places(signal)) == [
        "W4 N1 W11 B2 W12 E1 FRAME W14",
        "W4 N1 W5 B1 W6 FRAME W14",
        "W4 N1 W7 X1:1 W8 S2 W9 X1:2 W10 E1 FRAME W14",
    ]
    assert signal.series == ()
    assert sorted(signal.parallel) == [("B1",), ("B2",), ("S2",)]
    assert when(signal) == "gear=neutral or clutch=in or stand=up"


def test_neutral_or_clutch_and_stand() -> None:
    """The start relay's coil returns in neutral, or by clutch and stand in series; diodes let current one way only.

    The clutch switch also leads to the neutral switch through R2, which neutral alone makes needless. The input's
    line cannot use R1 backwards to the clutch switch.
    """
    machine = circuit(NEUTRAL_OR_BOTH)
    feed, back = load_routes(machine, "Q1")
    assert (feed.at, back.at) == ("Q1:86", "Q1:85")
    assert sorted(places(back)) == [
        "W4 R1 W5 B1 W8 FRAME W18",
        "W6 S2 W7 B2 W9 FRAME W18",
        "W6 S2 W7 W13 R2 W14 B1 W8 FRAME W18",
    ]
    assert when(back) == "gear=neutral or clutch=in and stand=up"
    signal = load_routes(machine, "A1")[2]
    assert sorted(places(signal)) == [
        "W12 B2 W9 FRAME W18",
        "W12 W13 R2 W14 B1 W8 FRAME W18",
        "W12 W7 S2 W6 W4 R1 W5 B1 W8 FRAME W18",
    ]
    assert when(signal) == "gear=neutral or stand=up"


def test_stop_chain_with_hold_in() -> None:
    """All contacts of the stop chain are in series, start button and hold-in contact side by side behind them."""
    feed, back = load_routes(circuit(CHIPPER), "Q1")
    assert places(feed) == ["W1 S1 W2 B1 W3 S2 W4 S3 W5", "W1 S1 W2 B1 W3 S2 W6 Q1 13-14 W7"]
    assert feed.series == ("S1", "B1", "S2")
    assert feed.parallel == (("S3",), ("Q1 13-14",))
    assert places(back) == ["W8 FRAME W12"]
    chain = "emergency stop out and guard shut and stop button released"
    assert feed.words() == [
        "Q1:A1 of Q1 is fed by 2 routes",
        f"T1:+ → W1 → S1 → W2 → B1 → W3 → S2 → W4 → S3 → W5 → Q1:A1: {chain} and start button pressed",
        f"T1:+ → W1 → S1 → W2 → B1 → W3 → S2 → W6 → Q1 13-14 → W7 → Q1:A1: {chain} and contactor Q1 energised",
        "in every route, so all are needed: S1, B1, S2",
        "side by side, so any is enough: S3, or Q1 13-14",
        f"together: {chain} and (start button pressed or contactor Q1 energised)",
    ]


def test_a_magneto_is_stopped_by_ground() -> None:
    """The ride-on's primary is grounded by the key at off, or by an empty seat with the brake released."""
    (stop,) = load_routes(circuit(MOWER), "U1")
    assert places(stop) == ["W6 S1 M-G W7 FRAME W11", "W8 S2 W9 S3 1-2 W10 FRAME W11"]
    assert stop.parallel == (("S1 M-G",), ("S2", "S3 1-2"))
    assert when(stop) == "key=off or seat=empty and brake=released"
    assert stop.words()[0] == "U1 is stopped by 2 routes"


def test_a_reversed_motor_is_fed_at_either_end() -> None:
    """Each way round has its own feed and return; a way that needs one lever in two positions is none."""
    found = load_routes(circuit(WINCH), "M1")
    assert [(one.purpose, one.at, places(one), when(one)) for one in found] == [
        ("feed", "M1:1", ["W1 S1 3-1 W3"], "lever=haul"),
        ("return", "M1:2", ["W4 S2 3-2 W6 FRAME W7"], "lever=hold or lever=haul"),
        ("feed", "M1:2", ["W2 S2 3-1 W4"], "lever=pay"),
        ("return", "M1:1", ["W3 S1 3-2 W5 FRAME W7"], "lever=hold or lever=pay"),
    ]


def test_json_names_places_contacts_and_groups() -> None:
    """The JSON of a set holds its routes in order, each contact with what closes it, and the groups."""
    feed, _ = load_routes(circuit(GATE), "Q1")
    assert feed.as_json() == {
        "purpose": "feed",
        "load": "Q1",
        "at": "Q1:A1",
        "other": None,
        "routes": [
            {
                "start": "T1:+",
                "end": "Q1:A1",
                "places": ["W1", "S1", "W2", "S2", "W3"],
                "contacts": [
                    {"place": "S1", "of": "stop", "closed_in": ["released"]},
                    {"place": "S2", "of": "start", "closed_in": ["pressed"]},
                ],
            },
            {
                "start": "T1:+",
                "end": "Q1:A1",
                "places": ["W1", "S1", "W4", "Q1 13-14", "W5"],
                "contacts": [
                    {"place": "S1", "of": "stop", "closed_in": ["released"]},
                    {"place": "Q1 13-14", "of": "contactor Q1", "closed_in": ["energised"]},
                ],
            },
        ],
        "unfinished": False,
        "series": ["S1"],
        "parallel": [["S2"], ["Q1 13-14"]],
        "when": "stop=released and start=pressed or stop=released and contactor Q1=energised",
    }


# Rules


PAIR = """
circuit: two-in-a-row
nominal: 12 V
controls:
  key: {positions: [off, on]}
parts:
  G1: {kind: battery}
  G2: {kind: battery}
  S1: {kind: switch, control: key, contacts: {1-2: [off, on]}}
  L1: {kind: resistor, resistance: 2 Ω}
  L2: {kind: resistor, resistance: 100 mΩ}
  P1: {kind: lamp}
wires:
  W1: {from: G2:+, to: L1:1}
  W2: {from: L1:2, to: L2:1}
  W3: {from: L2:2, to: S1:1}
  W4: {from: S1:2, to: P1:1}
  W5: {from: P1:2, to: FRAME}
  W6: {from: G1:+, to: G2:-}
  W7: {from: G1:-, to: FRAME}
"""


def test_routes_pass_a_load_only_where_that_is_asked_for() -> None:
    """A 2 Ω ballast is a load, so the lamp behind it is fed by no route unless through it; a shunt of 0.1 Ω is wire."""
    machine = circuit(PAIR)
    assert loads(machine) == ("L1", "P1")
    assert load_routes(machine, "P1")[0].routes == ()
    feed, back = load_routes(machine, "P1", through=["L1"])
    assert places(feed) == ["W1 L1 W2 L2 W3 S1 W4", "W6 G2 W1 L1 W2 L2 W3 S1 W4"]
    assert places(back) == ["W5 FRAME W7", "W5 FRAME W7 G1 W6"]


def test_a_contact_that_never_opens_is_needed_by_nothing() -> None:
    """Closed in every position of its control, it is a place on the route, and no contact of it."""
    feed = load_routes(circuit(PAIR), "P1", through=["L1"])[0]
    assert feed.series == ()
    assert feed.parallel == ()
    assert when(feed) == "always"


SHORTED = """
circuit: shorting-buttons
nominal: 12 V
controls:
  lever: {positions: [one, two, three, four]}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: lever, contacts: {1-2: [one]}}
  S2: {kind: switch, control: lever, contacts: {1-2: [one, two]}}
  S3: {kind: switch, control: lever, contacts: {1-2: [one, two]}}
  S4: {kind: switch, control: lever, contacts: {1-2: [one, two]}}
  P1: {kind: lamp}
wires:
  W1: {from: G1:+, to: P1:1}
  W2: {from: P1:2, to: G1:-}
  W3: {from: P1:1, to: S1:1}
  W4: {from: S1:2, to: P1:2}
  W5: {from: G1:+, to: S2:1}
  W6: {from: S2:2, to: G1:-}
  W7: {from: G1:+, to: S3:1}
  W8: {from: S3:2, to: P1:2}
  W9: {from: P1:1, to: S4:1}
  WA: {from: S4:2, to: G1:-}
"""


def test_a_short_is_no_route() -> None:
    """Routes lead past neither the load's other end nor the source's: that would short one of them.

    Contacts beside the lamp, beside the battery and from each to the other's far end could be closed together.
    """
    found = load_routes(circuit(SHORTED), "P1")
    assert [(one.purpose, one.at, places(one)) for one in found] == [
        ("feed", "P1:1", ["W1"]),
        ("return", "P1:2", ["W2"]),
        ("feed", "P1:2", ["W7 S3 W8"]),
        ("return", "P1:1", ["W9 S4 WA"]),
    ]


def ladder(rungs: int) -> str:
    """Return a lamp fed through pairs of wires side by side: 2 ** ``rungs`` routes."""
    parts = "".join(f"  N{number}: {{kind: splice, ways: 4}}\n" for number in range(rungs + 1))
    wires = "".join(
        f"  A{number}: {{from: N{number}:3, to: N{number + 1}:1}}\n"
        f"  B{number}: {{from: N{number}:4, to: N{number + 1}:2}}\n"
        for number in range(rungs)
    )
    return (
        f"circuit: ladder\nnominal: 12 V\nparts:\n  G1: {{kind: battery}}\n  P1: {{kind: lamp}}\n{parts}wires:\n"
        f"  W1: {{from: G1:+, to: N0:1}}\n  W2: {{from: N{rungs}:3, to: P1:1}}\n  W3: {{from: P1:2, to: G1:-}}\n{wires}"
    )


@pytest.mark.parametrize(
    ("rungs", "limit", "heading", "unfinished"),
    [
        (3, 50, "P1:1 of P1 is fed by 8 routes", False),
        (3, 8, "P1:1 of P1 is fed by 8 routes", False),
        (3, 7, "P1:1 of P1 is fed by more than 7 routes; the first 7 are listed", True),
        (40, 50, "P1:1 of P1 is fed by more than 50 routes; the first 50 are listed", True),
    ],
)
def test_the_limit_is_said(rungs: int, limit: int, heading: str, unfinished: bool) -> None:  # noqa: FBT001
    """With more routes than the limit that many are listed, and nothing is claimed of all of them."""
    feed = load_routes(circuit(ladder(rungs)), "P1", limit=limit)[0]
    assert feed.words()[0] == heading
    assert len(feed.routes) == min(limit, 2**rungs)
    claimed = feed.as_json()
    assert claimed["unfinished"] is unfinished
    assert (claimed["when"] is None) is unfinished


def test_too_many_ways_to_try_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the tries run out before the limit, there may be more routes, and that is what is said."""
    monkeypatch.setattr("faultwright.routes.MOST_TRIED", 5)
    feed = load_routes(circuit(ladder(3)), "P1")[0]
    assert feed.words()[0] == "P1:1 of P1 is fed by 5 routes and perhaps more: there are too many ways to try them all"


def test_unknown_names_are_refused_all_at_once() -> None:
    """What is no load, and what is no terminal, is named with its nearest match."""
    with pytest.raises(Refused) as refused:
        load_routes(circuit(CHIPPER), "q1", through=["M1a"])
    assert str(refused.value) == (
        "wood-chipper: there is no load 'q1'; did you mean 'Q1'? (allowed: Q1, M1)\n"
        "wood-chipper: there is no load 'M1a'; did you mean 'M1'? (allowed: Q1, M1)"
    )
    with pytest.raises(Refused) as refused:
        routes_between(circuit(CHIPPER), "S1:11", "S2:23")
    assert str(refused.value) == "wood-chipper: S2 has no terminal 23 (it has 21 22)"


# Every way, by brute force

NODES = "abcde"


@st.composite
def small_graphs(draw: st.DrawFn) -> list[Passage]:
    """Return up to nine passages between five nodes, some of them one-way, some side by side."""
    ends = st.tuples(st.sampled_from(NODES), st.sampled_from(NODES), st.booleans())
    listed = draw(st.lists(ends, max_size=9))
    return [Passage(f"W{number}", a, b, Role.RESISTOR, one_way) for number, (a, b, one_way) in enumerate(listed)]


@given(small_graphs(), st.sets(st.sampled_from("bcd"), max_size=1))
def test_ways_are_all_that_there_are(usable: list[Passage], past: set[str]) -> None:
    """From a to e there are exactly the ways that trying every order of every choice of nodes between finds."""
    expected: list[tuple[str, ...]] = []
    for count in range(4):
        for between in itertools.permutations("bcd", count):
            if past & set(between):
                continue
            walk = ("a", *between, "e")
            choices = [
                [one.place for one in usable if (one.a, one.b) == step or (not one.one_way and (one.b, one.a) == step)]
                for step in itertools.pairwise(walk)
            ]
            expected += itertools.product(*choices)
    found = [tuple(passage.place for passage, _ in way) for way in ways(usable, "a", "e", past)]
    assert sorted(found) == sorted(expected)


def test_blind_alleys_are_not_walked() -> None:
    """Neither what hangs on one node nor what is left through a diode backwards is looked into.

    Looking into a blind alley of many branches would cost every order of them.
    """
    graph = nx.MultiDiGraph([("a", "b"), ("b", "a"), ("b", "e"), ("e", "b")])
    graph.add_edges_from([("b", "c"), ("c", "b"), ("c", "d"), ("d", "c"), ("d", "b"), ("b", "d")])
    graph.add_edges_from([("a", "f"), ("f", "a"), ("e", "f")])
    assert set(worth_walking(graph, "a", "e")) == {"a", "b", "e"}


# What the solver says


@given(st.data())
@settings(max_examples=60)
def test_a_switch_network_conducts_exactly_where_a_route_is_closed(data: st.DataObject) -> None:
    """Without loads, an ohmmeter on the isolated machine shows OL in exactly those states in which no route is closed.

    So every route's contacts, closed, give continuity, and no set of contacts outside the routes does. A fuse that has
    blown before the sources were isolated is open to both.
    """
    machine = data.draw(circuits(kinds=("switch", "fuse", "splice", "ground", "connector"), most=6))
    first, second = data.draw(st.lists(st.sampled_from(all_terminals(machine)), min_size=2, max_size=2, unique=True))
    found = routes_between(machine, first, second, limit=100_000)
    assert not found.unfinished
    for state in machine.states():
        used = Machine(machine)
        for move in (*isolation(machine), *control_moves(machine, used.state, state)):
            used.move(move)
        shown = read(used, Probe(OHMS, first, second)).status != OVERLOAD
        assert shown is found.holds(state, used.blown), state


UNPASSED = (Role.SOURCE, Role.DIODE, Role.COIL, Role.LAMP, Role.MOTOR, Role.SOLENOID, Role.PULL, Role.PRIMARY)


@given(st.data())
@settings(max_examples=60)
def test_routes_of_a_settled_machine_are_what_its_solver_has_closed(data: st.DataObject) -> None:
    """In whatever way a machine settles, a route is closed exactly where its solver's branches join the two terminals.

    Loads, sources and diodes are left out of the solver's branches as they are of the routes.
    """
    machine = data.draw(circuits(most=6))
    first, second = data.draw(st.lists(st.sampled_from(all_terminals(machine)), min_size=2, max_size=2, unique=True))
    found = routes_between(machine, first, second, limit=100_000)
    assert not found.unfinished
    solver = Solver(build(machine))
    network = solver.network
    skipped = {index for role in UNPASSED for index in network.by_role[role]}
    skipped |= {network.first_of[name] for name in loads(machine) if machine.parts[name].kind == "resistor"}
    for state in machine.states():
        for one in ways_to_settle(solver, state):
            left = [0.0 if index in skipped else value for index, value in enumerate(one.conductances)]
            joined = network.joined(left, network.node[first], network.node[second])
            assert found.holds(with_relays(machine, state, one.relays), one.blown) is joined


def known_circuits() -> list[Circuit]:
    """Return the course's circuits and those of this folder."""
    texts = (ANY_OF_THREE, NEUTRAL_OR_BOTH, CHIPPER, WINCH, MOWER, GATE)
    return [*(read_circuit(path) for path in sorted(COURSE.glob("*.yaml"))), *map(circuit, texts)]


ONE_SOURCE = [one for one in known_circuits() if len(sources(one)) == 1]
"""Where a battery and a generator meet, which voltage is higher decides, and no route tells that."""


@pytest.mark.parametrize("machine", large_ones_slow(ONE_SOURCE))
def test_a_load_works_exactly_where_it_is_fed_and_returned(machine: Circuit) -> None:
    """On a machine with one source each behaviour is seen in exactly the states that the routes of its part say.

    A load is fed and returned one way round or the other; an input also needs its signal; a magneto must not be
    stopped. Relays stand as they settle.
    """
    permissions = behaviour_permissions(machine)
    followed = [one for one in machine.behaviour.values() if one.part]
    assert followed
    for behaviour in followed:
        works = by_routes(machine, behaviour.part)
        seen = [so for _, so in permissions[behaviour.name].rows]
        assert [one if told is not None else None for one, told in zip(seen, works, strict=True)] == works


def by_routes(machine: Circuit, load: str) -> list[bool | None]:
    """Return, for every state, whether a load works by what its routes say; None where a relay may stand either way."""
    kind = machine.parts[load].kind
    sets = load_routes(machine, load)
    columns = [[so for _, so in permission.rows] for permission in route_permissions(machine, sets)]
    if kind == "magneto":
        return [None if stopped is None else not stopped for stopped in columns[0]]
    needed = 3 if kind == "input" else 2
    found: list[bool | None] = []
    for row in zip(*columns, strict=True):
        groups = [row[place : place + needed] for place in range(0, len(row), needed)]
        found.append(None if None in row else any(all(group) for group in groups))
    return found


@pytest.mark.parametrize("machine", large_ones_slow(known_circuits()))
def test_continuity_between_any_two_points_is_what_routes_say(machine: Circuit) -> None:
    """On every known machine, isolated, an ohmmeter shows under 1 Ω exactly where a route is closed.

    Ohms are taken in each state between FRAME and every wired terminal. Motors have less, and
    cold lamps side by side, so both are unplugged.
    """
    strong = [part.name for part in machine.parts.values() if part.kind in ("motor", "lamp")]
    used = Machine(machine)
    for name in (*strong, *(move.target for move in isolation(machine))):
        used.move(f"unplug={name}")
    terminals = [terminal for terminal in machine.wired if terminal != FRAME]
    sets = [routes_between(machine, terminal, FRAME) for terminal in terminals]
    assert not any(one.unfinished for one in sets)
    permissions = route_permissions(machine, sets, isolated=True)
    for number, state in enumerate(machine.states()):
        for move in control_moves(machine, used.state, state):
            used.move(move)
        for terminal, permission in zip(terminals, permissions, strict=True):
            ohms = read(used, Probe(OHMS, terminal, FRAME)).value
            assert (ohms is not None and ohms < 1) is permission.rows[number][1], (terminal, state)
