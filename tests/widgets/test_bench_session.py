"""The session at the bench: messages in, plain JSON out, the answer kept beside the notebook."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from faultwright.bench import Bench
from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit
from faultwright.errors import Refused
from faultwright.record import parse_record
from faultwright_widgets.answer_sheet import AnswerSheet
from faultwright_widgets.bench_session import BenchSession
from faultwright_widgets.exercise import Exercise, Questions
from faultwright_widgets.job_sheet import job_sheet
from tests.widgets.sprayer import CIRCUIT, bench

QUESTIONS: Questions = {
    "calculation": {"prompt": "How many volts stand across the coil?"},
    "continuity": [{"id": "float", "prompt": "Tank low: S1:2 to K1:86?", "choices": ["yes", "no"]}],
}


def do(session: BenchSession, *messages: dict[str, object]) -> dict[str, Any]:
    """Send messages, one after the other, and return the state after the last."""
    for message in messages:
        session.handle(message)
    return session.state()


def moves(*words: str) -> list[dict[str, object]]:
    """Return moves as messages."""
    return [{"do": "move", "move": word, "place": "operate"} for word in words]


def leads(red: str, black: str) -> list[dict[str, object]]:
    """Return messages that put both leads on."""
    return [
        {"do": "point", "lead": lead, "terminal": at, "place": "measure"}
        for lead, at in (("red", red), ("black", black))
    ]


READ: dict[str, object] = {"do": "read", "place": "measure"}
SEE: dict[str, object] = {"do": "observe", "place": "operate"}


def test_controls_move_the_machine_and_what_it_does_is_said() -> None:
    """A control moves the machine, and its behaviours come back in words."""
    state = do(BenchSession(bench()), *moves("key=on", "float=full"))
    assert state["controls"] == {"key": "on", "test": "released", "float": "full"}
    assert [(item["label"], item["words"]) for item in state["seen"]] == [("pump", "yes"), ("lamp", "lit")]


def test_a_look_changes_nothing_but_is_answered() -> None:
    """The front end asks whether Python is still there; the answer is a new state, and nothing is recorded."""
    session = BenchSession(bench())
    before = session.state()
    after = do(session, {"do": "look"})
    assert after == before | {"handled": before["handled"] + 1}
    assert session.work.bench.actions == []


def test_a_press_and_hold_control_is_two_moves() -> None:
    """Pressing and releasing are two moves in the record, as the contract of moves asks."""
    session = BenchSession(bench())
    do(session, *moves("test=pressed", "test=released"))
    assert [str(move) for move in session.work.bench.record.moves()] == ["test=pressed", "test=released"]


def test_volts_are_live_before_they_are_noted() -> None:
    """Volts show at once and follow the controls, without a finding; taking the reading makes one."""
    session = BenchSession(bench())
    before = do(session, *moves("key=on"), *leads("K1:86", "FRAME"))
    assert before["shown"]["display"] == "0.0 mV"
    assert before["shown"]["remarks"] == []
    after = do(session, *moves("float=full"))
    assert after["shown"]["display"].startswith("12.")
    assert after["findings"] == []
    noted = do(session, READ)
    assert noted["findings"][0]["shown"] == after["shown"]["display"]
    assert noted["findings"][0]["state"] == "Key switch on, Tank float full"


@pytest.mark.parametrize("mode", ["ohms", "continuity", "diode", "amps"])
def test_modes_that_act_on_the_circuit_show_only_what_is_noted(mode: str) -> None:
    """Ohms on a live circuit and amps across a source must never go unrecorded, so nothing is shown before."""
    session = BenchSession(bench())
    state = do(session, {"do": "meter", "mode": mode}, *leads("K1:86", "K1:85"))
    assert state["shown"] is None
    assert do(session, READ)["shown"] is not None
    assert len(session.work.bench.actions) == 1


@pytest.mark.parametrize(
    ("before", "mode", "red", "black", "words"),
    [
        (("key=on", "float=full"), "ohms", "K1:86", "K1:85", "Live:"),
        (("key=on", "float=full"), "ohms", "S2:3", "S2:4", "A source was delivering current"),
        ((), "amps", "G1:+", "G1:-", "fuse has blown"),
        (("unplug=G1",), "ohms", "S2:3", "S2:4", "OL is over the limit"),
        (("unplug=G1",), "volts", "G1:+", "FRAME", "Floating:"),
        (("unplug=G1",), "continuity", "K1:86", "K1:85", "no beep"),
    ],
)
def test_readings_are_said_in_the_words_of_the_trade(
    before: tuple[str, ...], mode: str, red: str, black: str, words: str
) -> None:
    """Each status of the meter has its warning, at the meter and in the table of findings."""
    session = BenchSession(bench())
    state = do(session, *moves(*before), {"do": "meter", "mode": mode}, *leads(red, black), READ)
    assert words in " ".join(state["shown"]["remarks"])
    assert words in " ".join(state["findings"][-1]["remarks"])


def test_a_value_must_be_predicted_first_where_the_exercise_asks() -> None:
    """Nothing is shown or noted before an expected value; a decimal comma is read as a point."""
    session = BenchSession(bench(), Exercise(ask_expected=True))
    state = do(session, *moves("key=on", "float=full"), *leads("K1:86", "FRAME"))
    assert state["shown"] is None
    state = do(session, READ)
    assert state["findings"] == []
    assert state["alerts"][0]["place"] == "measure"
    assert "write what you expect" in state["alerts"][0]["text"]
    predictions: list[dict[str, object]] = [
        {"do": "predict", "field": "suspect", "text": "W6 open"},
        {"do": "predict", "field": "expected", "text": "12,4 V"},
        {"do": "predict", "field": "otherwise", "text": "0 V"},
    ]
    state = do(session, *predictions, READ)
    taken = session.work.bench.as_json()["actions"][-1]["read"]
    assert taken["expected"] == 12.4
    assert taken["note"] == "suspects W6 open; otherwise 0 V"
    assert state["findings"][0]["expected"] == "12.4 V (suspects W6 open; otherwise 0 V)"
    assert state["prediction"] == {"suspect": "W6 open", "expected": "", "otherwise": ""}
    assert do(session, *moves("float=low"))["shown"] is None


def test_over_the_limit_can_be_predicted() -> None:
    """OL has no number, so it is kept in words."""
    session = BenchSession(bench(), Exercise(ask_expected=True))
    do(
        session,
        *moves("unplug=G1"),
        {"do": "meter", "mode": "ohms"},
        *leads("S2:3", "S2:4"),
        {"do": "predict", "field": "expected", "text": "OL"},
        READ,
    )
    taken = session.work.bench.as_json()["actions"][-1]["read"]
    assert (taken["expected"], taken["status"], taken["note"]) == (None, "overload", "expects OL")


@pytest.mark.parametrize(
    ("message", "place", "words"),
    [
        ({"do": "move", "move": "key=onn", "place": "operate"}, "operate", "did you mean 'on'"),
        ({"do": "move", "move": "unplug=X2", "place": "operate"}, "operate", "there is no part or terminal 'X2'"),
        ({"do": "point", "lead": "red", "terminal": "K1:41", "place": "measure"}, "measure", "K1 has no terminal 41"),
        ({"do": "point", "lead": "green", "terminal": "K1:86", "place": "measure"}, "measure", "no lead 'green'"),
        ({"do": "meter", "mode": "watts", "place": "measure"}, "measure", "no meter mode 'watts'"),
        ({"do": "read", "place": "measure"}, "measure", "needs two terminals"),
        ({"do": "cite", "index": 5, "on": True, "place": "findings"}, "findings", "is no finding"),
        ({"do": "repair", "at": "W7", "remedy": "", "place": "repair"}, "repair", "choose a place and a remedy"),
        ({"do": "repair", "at": "W7", "remedy": "charge", "place": "repair"}, "repair", "there is no remedy 'charge'"),
        ({"do": "answer", "field": "mark", "text": "10", "place": "conclusion"}, "conclusion", "no part of the answer"),
        ({"do": "answer", "field": "confidence", "text": "very"}, "bench", "there is no confidence 'very'"),
        ({"do": "continuity", "id": "x", "text": "yes"}, "bench", "no continuity question 'x'"),
        ({"do": "move", "move": 7}, "bench", "must be text"),
        ({"do": "move", "move": "x" * 3000}, "bench", "must be text of at most"),
        ({"do": "dance"}, "bench", "there is no thing to do 'dance'"),
    ],
)
def test_what_cannot_be_done_is_said_at_its_place_and_changes_nothing(
    message: dict[str, object], place: str, words: str
) -> None:
    """A refusal becomes an alert beside the control that asked for it, and nothing is recorded."""
    session = BenchSession(bench())
    state = do(session, message)
    assert any(alert["place"] == place and words in alert["text"] for alert in state["alerts"])
    assert session.work.bench.actions == []
    assert do(session, *moves("key=on"))["alerts"] == []


def test_clicks_put_red_then_black() -> None:
    """A click without a lead puts the next one, red first; the selector can change the turn."""
    session = BenchSession(bench())
    state = do(session, {"do": "point", "terminal": "K1:86"}, {"do": "point", "terminal": "FRAME"})
    assert (state["meter"]["red"], state["meter"]["black"], state["meter"]["next"]) == ("K1:86", "FRAME", "red")
    state = do(session, {"do": "next", "lead": "black"}, {"do": "point", "terminal": "K1:85"})
    assert (state["meter"]["red"], state["meter"]["black"]) == ("K1:86", "K1:85")


def test_wiring_moves_come_with_their_undoing() -> None:
    """Everything unplugged, bridged, loaded or disturbed is listed with a move that takes it back."""
    session = BenchSession(bench())
    state = do(session, *moves("unplug=X1", "unplug=K1:86", "bridge=S1:1,S1:2", "load=K1:30,FRAME", "disturb=W7"))
    assert [row["words"] for row in state["wiring"]] == [
        "K1:86 is lifted",
        "X1 is unplugged",
        "Jumper from S1:1 to S1:2",
        "Test lamp from K1:30 to FRAME: lit",
        "W7 is being disturbed",
    ]
    assert do(session, *moves(*(row["move"] for row in state["wiring"])))["wiring"] == []


def test_situations_in_the_table_follow_the_machine() -> None:
    """The state that the table shows is the machine's own at every finding, also after rest and wiring moves."""
    session = BenchSession(bench())
    state = do(
        session,
        *moves("key=on", "unplug=X1", "bridge=S1:1,S1:2"),
        SEE,
        *moves("mate=X1", "unbridge=S1:2,S1:1", "disturb=W7"),
        SEE,
        *moves("rest"),
        SEE,
    )
    assert [row["state"] for row in state["findings"]] == [
        "Key switch on; X1 off; jumper S1:1–S1:2",
        "Key switch on; W7 disturbed",
        "all at rest",
    ]


REACH = {"K1:86": "", "X1:a1": "X1"}


def _with_reach(reach: dict[str, str]) -> Circuit:
    return replace(CIRCUIT, reach=reach)


def test_leads_reach_only_what_the_circuit_lets_them() -> None:
    """A terminal outside ``reach`` is refused; one behind a connector asks for it to be unplugged first."""
    session = BenchSession(Bench(_with_reach(REACH)))
    state = do(session, {"do": "point", "lead": "red", "terminal": "M1:1", "place": "measure"})
    assert "M1:1 cannot be reached" in state["alerts"][0]["text"]
    state = do(session, {"do": "point", "lead": "red", "terminal": "X1:a1", "place": "measure"})
    assert "only with X1 unplugged" in state["alerts"][0]["text"]
    state = do(session, *moves("unplug=X1"), *leads("X1:a1", "FRAME"))
    assert state["shown"] is not None
    state = do(session, *moves("mate=X1"))
    assert state["shown"] is None
    assert "only with X1 unplugged" in state["alerts"][0]["text"]


def test_the_proof_counts_states_noted_since_the_last_repair() -> None:
    """Only observations after the repair, with the machine whole, count; each control state counts once."""
    session = BenchSession(bench("W6 open"))
    state = do(session, SEE)
    assert state["proof"]["repaired"] is False
    mend: dict[str, object] = {"do": "repair", "at": "W6", "remedy": "mend the wire", "place": "repair"}
    state = do(session, *moves("unplug=G1"), mend)
    assert state["said"]["repair"] == "Done: W6, mend the wire. Now prove it."
    state = do(session, *moves("mate=G1"), SEE)
    assert (state["proof"]["done"], state["proof"]["all"]) == (1, 8)
    state = do(session, SEE, *moves("key=on"), SEE, *moves("unplug=X1", "float=full"), SEE)
    assert state["proof"]["done"] == 2
    assert len(state["proof"]["rows"]) == 8
    assert [row["number"] for row in state["proof"]["rows"]] == [0] * 6 + [6, 8]
    assert state["proof"]["rows"][6:] == [
        {"positions": ["off", "released", "low"], "number": 6, "seen": "pump: no, lamp: off"},
        {"positions": ["on", "released", "low"], "number": 8, "seen": "pump: no, lamp: off"},
    ]


def answer_with_everything(session: BenchSession) -> dict[str, Any]:
    """Find, cite, claim, calculate, claim continuity, name the remedy and submit."""
    return do(
        session,
        *moves("key=on", "float=full"),
        SEE,
        *leads("K1:86", "FRAME"),
        READ,
        {"do": "cite", "index": 3, "on": True, "place": "findings"},
        {"do": "claim", "fault": "W6 open", "on": True},
        {"do": "claim", "fault": "B1 stuck open", "on": True},
        {"do": "claim", "fault": "B1 stuck open", "on": False},
        {"do": "answer", "field": "calculation", "text": "12,4 V"},
        {"do": "continuity", "id": "float", "text": "no"},
        {"do": "answer", "field": "remedy", "text": "W6 mend the wire"},
        {"do": "answer", "field": "confidence", "text": "fairly"},
        {"do": "submit", "place": "conclusion"},
    )


def test_the_answer_file_has_the_agreed_layout(tmp_path: Path) -> None:
    """The file holds exactly the agreed entries, and its record replays."""
    file = tmp_path / "answer.json"
    session = BenchSession(bench("W6 open"), Exercise(questions=QUESTIONS, paper="P1"), answer_file=file)
    state = answer_with_everything(session)
    assert state["alerts"] == []
    assert state["said"]["submit"] == "Submitted: the answer stands in answer.json. Still open: proof not shown."
    answer = json.loads(file.read_text(encoding="utf-8"))
    record = answer.pop("record")
    assert answer == {
        "version": 1,
        "circuit": "orchard-sprayer",
        "paper": "P1",
        "claim": ["W6 open"],
        "cited": [3],
        "calculation": "12,4 V",
        "continuity": {"float": "no"},
        "remedy": "W6 mend the wire",
        "confidence": "fairly",
        "notes": {},
    }
    assert parse_record(record, CIRCUIT) == session.work.bench.record


def test_everything_is_back_after_a_kernel_restart(tmp_path: Path) -> None:
    """A new session on the same files shows what the old one showed, machine and draft alike."""
    answer_file, record_file = tmp_path / "answer.json", tmp_path / "record.json"
    first = BenchSession(bench("W6 open", file=record_file), Exercise(questions=QUESTIONS), answer_file=answer_file)
    before = answer_with_everything(first)
    second = BenchSession(bench("W6 open", file=record_file), Exercise(questions=QUESTIONS), answer_file=answer_file)
    kept = ("controls", "seen", "findings", "answer", "proof", "wiring")
    assert {key: second.state()[key] for key in kept} == {key: before[key] for key in kept}
    without_record = BenchSession(bench("W6 open"), Exercise(questions=QUESTIONS), answer_file=answer_file)
    assert {key: without_record.state()[key] for key in kept} == {key: before[key] for key in kept}


def test_citations_that_the_record_does_not_hold_are_not_dropped_in_silence(tmp_path: Path) -> None:
    """Where the bench's own record is another than the answer's, the person is told which citations went."""
    file = tmp_path / "answer.json"
    answer_with_everything(BenchSession(bench("W6 open"), Exercise(questions=QUESTIONS), answer_file=file))
    other = bench("W6 open")
    other.move("key=on")
    state = BenchSession(other, Exercise(questions=QUESTIONS), answer_file=file).state()
    assert "does not hold have been taken out: 4." in state["alerts"][0]["text"]
    assert state["answer"]["claim"] == ["W6 open"]


def test_work_is_saved_at_every_step_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    """Each message leaves a whole answer file, and no temporary file stays."""
    file = tmp_path / "answer.json"
    session = BenchSession(bench(), answer_file=file)
    for count, message in enumerate(moves("key=on", "float=full", "rest"), start=1):
        session.handle(message)
        assert len(json.loads(file.read_text(encoding="utf-8"))["record"]["actions"]) == count
        assert [entry.name for entry in tmp_path.iterdir()] == ["answer.json"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "not whole JSON"),
        ('{"version": 1, "circuit": "other"}', "not on 'orchard-sprayer'"),
        (
            '{"version": 9, "circuit": "orchard-sprayer", "record": {"circuit": "orchard-sprayer", "actions": []}}',
            "version",
        ),
        ("[]", "an answer is a table"),
        (json.dumps(AnswerSheet("P9").as_json(bench().record)), "an answer to paper 'P9', not to ''"),
    ],
)
def test_a_file_that_holds_something_else_is_never_written_over(tmp_path: Path, content: str, words: str) -> None:
    """The person is told at once and at every step; once the file is moved away, work is saved again."""
    file = tmp_path / "answer.json"
    file.write_text(content, encoding="utf-8")
    session = BenchSession(bench(), answer_file=file)
    assert words in session.state()["alerts"][0]["text"]
    state = do(session, *moves("key=on"))
    assert [alert["place"] for alert in state["alerts"]] == ["bench"]
    assert file.read_text(encoding="utf-8") == content
    file.rename(tmp_path / "old.json")
    assert do(session, *moves("float=full"))["alerts"] == []
    assert len(json.loads(file.read_text(encoding="utf-8"))["record"]["actions"]) == 2


def test_a_file_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """Where saving fails the person is told, and the session goes on."""
    in_the_way = tmp_path / "folder"
    in_the_way.write_text("a file, not a folder", encoding="utf-8")
    session = BenchSession(bench(), answer_file=in_the_way / "answer.json")
    state = do(session, *moves("key=on"))
    assert "cannot be written" in state["alerts"][0]["text"]
    assert state["controls"]["key"] == "on"


def test_gaps_are_named_when_an_answer_is_submitted() -> None:
    """An answer may be handed in with gaps, but the person hears which."""
    session = BenchSession(bench(), Exercise(questions=QUESTIONS))
    state = do(session, {"do": "submit", "place": "submit"})
    assert state["alerts"] == []
    assert state["said"]["submit"].endswith(
        "Still open: no fault named, nothing cited, no calculation, continuity not answered, no remedy done, "
        "proof not shown, how sure you are."
    )
    repair: dict[str, object] = {"do": "repair", "at": "W6", "remedy": "mend the wire", "place": "repair"}
    state = do(session, repair, SEE, {"do": "claim", "fault": "W6 open", "on": True}, {"do": "submit"})
    assert state["said"]["submit"].endswith(
        "Still open: nothing cited, no calculation, continuity not answered, how sure you are."
    )


def test_the_repair_done_is_the_remedy_of_the_answer(tmp_path: Path) -> None:
    """The remedy is asked for once: the last repair fills it, also after a restart, and no other can be written."""
    file = tmp_path / "answer.json"
    session = BenchSession(bench("W6 open"), answer_file=file)
    written: dict[str, object] = {"do": "answer", "field": "remedy", "text": "F1 replace", "place": "conclusion"}
    state = do(session, written)
    assert (state["answer"]["remedy"], state["repair"]) == ("F1 replace", "")
    state = do(
        session,
        {"do": "repair", "at": "F1", "remedy": "replace"},
        {"do": "repair", "at": "W6", "remedy": "mend the wire"},
    )
    assert state["answer"]["remedy"] == state["repair"] == "W6 mend the wire"
    state = do(session, written)
    assert "the remedy is the last repair done at the bench" in state["alerts"][0]["text"]
    assert json.loads(file.read_text(encoding="utf-8"))["remedy"] == "W6 mend the wire"
    assert BenchSession(bench("W6 open"), answer_file=file).state()["answer"]["remedy"] == "W6 mend the wire"


@pytest.mark.parametrize(
    ("jumper", "warned"),
    [
        ("S1:1,S1:2", True),
        ("B1:1,S1:1", True),  # W4 carries S1's other side to B1
        ("K1:30,K1:86", False),
        ("S1:1,FRAME", False),
    ],
)
def test_a_jumper_across_a_switch_is_warned_of(jumper: str, warned: bool) -> None:  # noqa: FBT001 - a parameter
    """Across an operated contact, at its terminals or at its wires' far ends, a jumper comes with its warning."""
    said = do(BenchSession(bench()), *moves(f"bridge={jumper}"))["said"]
    assert ("never a repair: take it off" in said.get("operate", "")) is warned


def test_a_repair_under_power_is_warned_of() -> None:
    """A repair with a source delivering says that isolating comes first; with the source off it does not."""
    repair: dict[str, object] = {"do": "repair", "at": "W6", "remedy": "mend the wire"}
    session = BenchSession(bench())
    assert do(session, *moves("key=on", "float=full"), repair)["said"]["repair"].startswith("Isolate first:")
    assert do(session, *moves("unplug=G1"), repair)["said"]["repair"].startswith("Done:")


@pytest.mark.parametrize(("typed", "found"), [("frame", "FRAME"), ("k1:86", "K1:86"), ("g1:+", "G1:+")])
def test_a_terminal_may_be_typed_in_small_letters(typed: str, found: str) -> None:
    """Where capitals alone tell what was typed from exactly one terminal, that terminal is meant."""
    session = BenchSession(bench())
    state = do(session, {"do": "point", "lead": "red", "terminal": typed, "place": "measure"})
    assert (state["meter"]["red"], state["alerts"]) == (found, [])


def test_choices_about_controls_are_in_the_controls_own_words() -> None:
    """A choice that is written for the machine is read in its labels; what is no control's position stays."""
    choices = ["always", "float=full or test=pressed", "float=half", "depth=2"]
    asked: Questions = {"continuity": [{"id": "q", "prompt": "When?", "choices": choices}]}
    sheet = job_sheet(CIRCUIT, Exercise(questions=asked))
    assert sheet["questions"]["continuity"][0]["choices"] == [
        {"value": "always", "words": "always"},
        {"value": "float=full or test=pressed", "words": "Tank float: full or Pump test button: pressed"},
        {"value": "float=half", "words": "float=half"},
        {"value": "depth=2", "words": "depth=2"},
    ]


def test_a_calculation_without_a_unit_is_refused() -> None:
    """A number without a unit is no answer: it is refused when the answer is submitted."""
    session = BenchSession(bench(), Exercise(questions=QUESTIONS))
    state = do(
        session,
        {"do": "claim", "fault": "W6 open", "on": True},
        {"do": "answer", "field": "calculation", "text": "12.4"},
        {"do": "submit", "place": "conclusion"},
    )
    assert "has no unit" in state["alerts"][0]["text"]
    assert state["said"] == {}


def test_questions_with_mistakes_are_refused_whole() -> None:
    """An exercise's author hears of every mistake in the questions at once."""
    wrong: Any = {"calculus": {}, "calculation": {}, "continuity": [{"prompt": "?"}]}
    with pytest.raises(Refused) as refused:
        job_sheet(CIRCUIT, Exercise(questions=wrong))
    assert str(refused.value) == (
        "questions: there is no question 'calculus'; did you mean 'calculation'? (allowed: calculation, continuity)\n"
        "questions: the calculation needs a 'prompt'\n"
        "questions: continuity question 1 needs 'id'"
    )


def test_a_control_springs_back_only_from_positions_behind_its_rest() -> None:
    """A key with off, on and start springs from start to on; off stays where it is put."""
    circuit = parse_circuit(
        """
circuit: starter
controls:
  key: {label: Key, positions: [off, on, start], springs_to: on}
parts:
  G1: {kind: battery}
  S1: {kind: switch, control: key, contacts: {1-2: [start]}}
wires:
  W1: {from: "G1:+", to: S1:1}
""",
        "starter.yaml",
    )
    sheet = job_sheet(circuit, Exercise())
    assert sheet["controls"][0]["springing"] == ["start"]
