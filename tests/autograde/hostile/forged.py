"""Forged records: readings shaded, changed, invented; moves that never happened; looks and proofs made up."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from faultwright.bench import Bench
from faultwright.candidates import voltage_probes
from faultwright.faults import Fault
from faultwright.meter import Probe
from faultwright_autograde.case import Case
from tests.autograde.gate import COMPLAINT, PROOF, Answer

from .trick import FORGED, HARMLESS, Given, Trick, changed

Action = dict[str, Any]

REPORTED = "The record holds findings that this machine could not have shown; a person must look at it."


def _actions(change: Callable[[list[Action], Given], object]) -> Callable[[Answer, Given], None]:
    return lambda answer, given: (change(answer["record"]["actions"], given), None)[1]


def _at_another_machine(case: Case, faults: Sequence[Fault]) -> list[Action]:
    """Return the complaint and every voltage, as another machine with the same drawing shows them."""
    bench = Bench(case.circuit, faults)
    for move in COMPLAINT:
        bench.move(move)
        bench.observe()
    for probe in voltage_probes(case.circuit):
        bench.read(probe)
    return list(bench.as_json()["actions"])


def _cite_all(answer: Answer) -> None:
    actions = answer["record"]["actions"]
    answer["cited"] = [number for number, action in enumerate(actions) if {"read", "see"} & action.keys()][:12]


def _invented_on_a_sound_machine(answer: Answer, given: Given) -> None:
    answer["record"]["actions"][:0] = [*_at_another_machine(given.case, []), {"move": "rest"}]
    _cite_all(answer)


def _invented_out_of_thin_air(answer: Answer, given: Given) -> None:
    invented = [
        {"read": {"meter": "volts", "red": probe.red, "black": probe.black, "value": 7.77}}
        for probe in voltage_probes(given.case.circuit)
    ]
    answer["record"]["actions"][:0] = [*({"move": move} for move in COMPLAINT), *invented, {"move": "rest"}]
    _cite_all(answer)


def _claimed_for_real_hardware(answer: Answer, given: Given) -> None:
    """Real meters get a tolerance; say that of readings that are nine per cent off."""
    actions = _at_another_machine(given.case, [given.case.fault])
    for action in actions:
        if "read" in action and action["read"]["value"] is not None:
            action["read"] |= {"value": round(action["read"]["value"] * 1.09 + 0.2, 3), "source": "bench"}
    answer["record"]["actions"][:0] = [*actions, {"move": "rest"}]
    _cite_all(answer)


def _proof_without_a_repair(answer: Answer, given: Given) -> None:
    """Take every repair out, and keep (or make up) what a sound machine shows."""
    sound = Bench(given.case.circuit)
    for move in PROOF:
        sound.move(move)
        sound.observe()
    actions = answer["record"]["actions"]
    answer["record"]["actions"] = [action for action in actions if "repair=" not in action.get("move", "")]
    answer["record"]["actions"] += [{"move": "rest"}, *sound.as_json()["actions"]]
    answer["cited"] = []


def _live_while_unplugged(actions: list[Action], _given: Given) -> None:
    actions += [
        {"move": "unplug=G1"},
        {"read": {"meter": "volts", "red": "P1:1", "black": "FRAME", "value": 12.4}},
    ]


def _lamp_lit_with_the_key_off(actions: list[Action], _given: Given) -> None:
    actions += [{"move": "rest"}, {"see": {"lamp": "lit"}}]


def _first_move_gone(actions: list[Action], _given: Given) -> None:
    """What is left was never seen with the controls as they then stand."""
    del actions[0]
    actions[0:0] = [{"see": {"lamp": "dim"}}]


def _moves_that_show_another_state(actions: list[Action], _given: Given) -> None:
    """Let the record say that the gate was shut again before the last look, which still says what it said."""
    actions += [{"move": "rest"}, {"move": "key=on"}, {"move": "gate=shut"}, {"see": {"fan": True}}]


def _measured_well(answer: Answer, given: Given) -> None:
    """Measure every voltage, truthfully, before all else, and cite what was found."""
    answer["record"]["actions"][:0] = [*_at_another_machine(given.case, [given.case.fault]), {"move": "rest"}]
    _cite_all(answer)


def _shade(share: float) -> Callable[[list[Action], Given], None]:
    """Write every voltage higher by a share of its tolerance (0.5 % and two digits)."""

    def shade(actions: list[Action], given: Given) -> None:
        case = given.case
        bench = Bench(case.circuit, [case.fault])
        for action in actions:
            if "move" in action:
                bench.move(action["move"])
            elif "read" in action and action["read"]["value"] is not None:
                entry = action["read"]
                _, reading = bench.read(Probe(entry["meter"], entry["red"], entry["black"]))
                entry["value"] = round(entry["value"] + share * reading.tolerance, 5)

    return shade


def _changed_to_ol(actions: list[Action], _given: Given) -> None:
    for action in actions:
        if "read" in action:
            action["read"] |= {"value": None, "status": "overload"}


TRICKS = [
    Trick("shaded-within-tolerance", changed(_actions(_shade(0.9))), HARMLESS, honest=_measured_well),
    Trick("shaded-below", changed(_actions(_shade(-0.9))), HARMLESS, honest=_measured_well),
    Trick("shaded-beyond-tolerance", changed(_actions(_shade(3))), FORGED, REPORTED, honest=_measured_well),
    Trick("changed-to-overload", changed(_actions(_changed_to_ol)), FORGED, REPORTED, honest=_measured_well),
    Trick("invented-on-a-sound-machine", changed(_invented_on_a_sound_machine), FORGED, REPORTED),
    Trick("invented-out-of-thin-air", changed(_invented_out_of_thin_air), FORGED, REPORTED),
    Trick("claimed-for-real-hardware", changed(_claimed_for_real_hardware), FORGED, REPORTED),
    Trick("proof-without-a-repair", changed(_proof_without_a_repair), FORGED, REPORTED),
    Trick("live-while-unplugged", changed(_actions(_live_while_unplugged)), FORGED, REPORTED),
    Trick("lit-with-the-key-off", changed(_actions(_lamp_lit_with_the_key_off)), FORGED, REPORTED),
    Trick("first-move-gone", changed(_actions(_first_move_gone)), FORGED, REPORTED),
    Trick("moves-made-up", changed(_actions(_moves_that_show_another_state)), FORGED, REPORTED),
    Trick(
        "forged-inspection",
        changed(_actions(lambda actions, _given: actions.append({"inspect": {"at": "W4", "seen": "burnt through"}}))),
        HARMLESS,
    ),
    Trick(
        "forged-operator",
        changed(
            _actions(lambda actions, _given: actions.append({"ask": {"question": "Well?", "answer": "It is W4."}}))
        ),
        HARMLESS,
    ),
    Trick(
        "empty-looks",
        changed(_actions(lambda actions, _given: actions.extend([{"see": {}}] * 50))),
        HARMLESS,
    ),
]
