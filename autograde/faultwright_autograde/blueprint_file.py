"""Reading a blueprint, with every mistake located. The format stands in ``blueprint.py``."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from ruamel.yaml.nodes import Node, ScalarNode

from faultwright.circuit import Circuit
from faultwright.circuit_file import parse_circuit, terminal_mistake
from faultwright.conditions import first_wrong
from faultwright.errors import Mistake, Refused, unknown
from faultwright.faults import part_of, universe
from faultwright.files import read_text
from faultwright.located_yaml import Reader
from faultwright.meter import Probe, check_probe
from faultwright.moves import Move, parse_move
from faultwright.part_entries import NAME
from faultwright.permission import path_states
from faultwright.quantities import parse_quantity
from faultwright.statements import parse_condition

from .blueprint import Blueprint, Calculation, Complaint, ContinuityQuestion, Range, Selection, is_mode
from .rubric import Rubric, read_rubric
from .story_file import read_story

_TOP = (
    "paper",
    "title",
    "circuit",
    "practice",
    "complaint",
    "faults",
    "values",
    "machine",
    "difficulty",
    "calculation",
    "continuity",
    "safety_switches",
    "ask",
    "inspect",
    "usual_signs",
    "rubric",
)
_RANGE = re.compile(r"(?P<least>.*\S)\s+to\s+(?P<most>\S.*)")


def read_blueprint(path: Path | str) -> Blueprint:
    """Return the blueprint in a file, its circuit and rubric read too. Raises Refused with every mistake."""
    path = Path(path)
    return parse_blueprint(read_text(path), path.name, lambda name: read_text(path.parent / name))


def parse_blueprint(text: str, place: str, neighbour: Callable[[str], str]) -> Blueprint:
    """Return the blueprint written in ``text``; ``neighbour`` returns the text of a file that it names."""
    reader = _BlueprintReader(place, neighbour)
    blueprint = reader.blueprint(text)
    if reader.mistakes:
        raise Refused(sorted(reader.mistakes, key=lambda mistake: mistake.line or 0))
    return blueprint


class _BlueprintReader(Reader):
    """Reads the sections; what refers to the circuit is only looked at once the circuit is read."""

    def __init__(self, place: str, neighbour: Callable[[str], str]) -> None:
        super().__init__(place)
        self.neighbour = neighbour
        self.neighbours: dict[str, str] = {}

    def _neighbour(self, name: str) -> str:
        self.neighbours[name] = self.neighbour(name)
        return self.neighbours[name]

    def blueprint(self, text: str) -> Blueprint:
        top = self.compose(text)
        entries = self.fields(top, "the blueprint", _TOP, ("paper", "circuit", "complaint"))
        if not {"paper", "circuit", "complaint"} <= entries.keys():
            raise Refused(self.mistakes)
        circuit_text, circuit = self._circuit(entries["circuit"])
        name = self.text(entries["paper"], "paper") or ""
        if not NAME.fullmatch(name):
            self.wrong(entries["paper"], f"paper is {name!r}; a name is a letter, then letters, digits, '-', '_', '.'")
        emf, length = self._machine(entries.get("machine"))
        suspects, tests = self._difficulty(entries.get("difficulty"))
        selection = self._selection(entries.get("faults"), circuit)
        return Blueprint(
            paper=name,
            title=(self.text(entries["title"], "title") if "title" in entries else None) or name,
            circuit=circuit,
            complaint=self._complaint(entries["complaint"], circuit),
            selection=selection,
            values=self._values(entries.get("values"), circuit),
            emf=emf,
            length=length,
            suspects=suspects,
            tests=tests,
            calculation=self._calculation(entries.get("calculation"), circuit),
            continuity=self._continuity(entries.get("continuity"), circuit),
            safety_switches=self._safety_switches(entries.get("safety_switches"), circuit),
            story=read_story(self, entries.get("ask"), entries.get("inspect"), circuit, selection),
            usual_signs=self.yes(entries.get("usual_signs"), "usual_signs"),
            rubric=self._rubric(entries.get("rubric")),
            practice=self.yes(entries.get("practice"), "practice"),
            place=self.place,
            text=text,
            circuit_text=circuit_text,
            neighbours=self.neighbours,
        )

    def _circuit(self, node: Node) -> tuple[str, Circuit]:
        name = self.text(node, "circuit") or ""
        try:
            text = self._neighbour(name)
            return text, parse_circuit(text, Path(name).name)
        except Refused as error:
            raise Refused([*self.mistakes, Mistake(f"circuit {name!r}:", self.place, node.start_mark.line + 1),
                           *error.mistakes]) from None  # fmt: skip

    def _tried(self, node: Node, what: str, action: Callable[[], object]) -> None:
        """Do something that may refuse, and note its mistakes at ``node``."""
        try:
            action()
        except Refused as error:
            for mistake in error.mistakes:
                self.wrong(node, f"{what}: {mistake.message}")

    def _moves(self, node: Node | None, what: str, circuit: Circuit) -> tuple[Move, ...]:
        moves: list[Move] = []
        for text, item in self.texts(node, what) if node is not None else []:
            self._tried(item, f"{what}, {text!r}", lambda text=text: moves.append(parse_move(text, circuit)))  # type: ignore[misc]
        return tuple(moves)

    def _complaint(self, node: Node, circuit: Circuit) -> Complaint:
        entries = self.fields(node, "the complaint", ("text", "moves", "see"), ("text",))
        see = self.texts(entries["see"], "see") if "see" in entries else []
        for name, item in see:
            if name not in circuit.behaviour:
                self.wrong(item, f"see: {unknown('behaviour', name, list(circuit.behaviour))}")
        if not circuit.behaviour:
            self.wrong(node, "the circuit has no behaviour, so there is nothing to complain of")
        return Complaint(
            text=(self.text(entries["text"], "the complaint's text") or "") if "text" in entries else "",
            moves=self._moves(entries.get("moves"), "moves", circuit),
            see=tuple(name for name, _ in see) or tuple(circuit.behaviour),
        )

    # Faults and what varies

    def _selection(self, node: Node | None, circuit: Circuit) -> Selection:
        if node is None:
            return Selection()
        entries = self.fields(node, "faults", ("places", "modes", "names", "leave_out"))
        faults = universe(circuit)
        places = {fault.place for fault in faults.values()} | {part_of(fault.place) for fault in faults.values()}
        modes = dict.fromkeys(fault.mode for fault in faults.values())
        chosen: dict[str, tuple[str, ...]] = {}
        for key, what, allowed in (
            ("places", "place", sorted(places)),
            ("modes", "mode", list(modes)),
            ("names", "fault", list(faults)),
            ("leave_out", "fault", list(faults)),
        ):
            words = self.texts(entries[key], key) if key in entries else []
            for word, item in words:
                is_family = what == "mode" and any(is_mode(fault, word) for fault in faults.values())
                if word not in allowed and not is_family:
                    self.wrong(item, f"{key}: {unknown(what, word, allowed)}")
            chosen[key] = tuple(word for word, _ in words)
        return Selection(chosen["places"], chosen["modes"], chosen["names"], chosen["leave_out"])

    def _values(self, node: Node | None, circuit: Circuit) -> dict[str, Range]:
        free = [fault for fault in universe(circuit).values() if fault.value is not None]
        found: dict[str, Range] = {}
        for name, key, value in self.table(node, "values") if node is not None else ():
            if not any(fault.name == name or is_mode(fault, name) for fault in free):
                self.wrong(key, f"values: {unknown('fault with a value', name, [fault.name for fault in free])}")
            found[name] = self._range(value, f"values of {name}", lambda text: parse_quantity(text, "Ω"))
        return found

    def _range(self, node: Node, what: str, number: Callable[[str], float], *, zero: bool = False) -> Range:
        text = self.text(node, what) or ""
        parts = _RANGE.fullmatch(text)
        try:
            least, most = (number(parts["least"]), number(parts["most"])) if parts else (1.0, -1.0)
        except Refused as error:
            self.wrong(node, f"{what}: {error.mistakes[0].message}")
            return 1.0, 1.0
        if not least <= most or least < 0 or (least == 0 and not zero):
            self.wrong(node, f"{what} is {text!r}; write the least and the most, as in '2 to 5', not below zero")
            return 1.0, 1.0
        return least, most

    def _machine(self, node: Node | None) -> tuple[Range, Range]:
        usual = Blueprint.emf, Blueprint.length
        entries = self.fields(node, "machine", ("emf", "length")) if node is not None else {}
        emf, length = (
            self._range(entries[key], f"machine: {key}", _factor) if key in entries else default
            for key, default in zip(("emf", "length"), usual, strict=True)
        )
        return emf, length

    def _difficulty(self, node: Node | None) -> tuple[Range, Range]:
        usual = Blueprint.suspects, Blueprint.tests
        entries = self.fields(node, "difficulty", ("suspects", "tests")) if node is not None else {}
        suspects, tests = (
            self._range(entries[key], f"difficulty: {key}", _count, zero=True) if key in entries else default
            for key, default in zip(("suspects", "tests"), usual, strict=True)
        )
        return suspects, tests

    # Questions

    def _calculation(self, node: Node | None, circuit: Circuit) -> Calculation | None:
        if node is None:
            return None
        entries = self.fields(
            node, "calculation", ("prompt", "moves", "meter", "red", "black"), ("prompt", "meter", "red")
        )
        words = {
            key: self.text(entries[key], key) or "" for key in ("prompt", "meter", "red", "black") if key in entries
        }
        probe = Probe(words.get("meter", ""), words.get("red", ""), words.get("black", ""))
        self._tried(node, "calculation", lambda: check_probe(probe, circuit))
        if probe.mode not in ("volts", "amps", "ohms"):
            self.wrong(entries.get("meter", node), "calculation: volts, amps or ohms are asked for")
        return Calculation(words.get("prompt", ""), self._moves(entries.get("moves"), "moves", circuit), probe)

    def _continuity(self, node: Node | None, circuit: Circuit) -> tuple[ContinuityQuestion, ...]:
        found: list[ContinuityQuestion] = []
        for item in self.items(node, "continuity") if node is not None else []:
            keys = ("id", "prompt", "between", "choices")
            entries = self.fields(item, "a continuity question", keys, keys)
            if len(entries) < len(keys):
                continue
            name = self.text(entries["id"], "id") or ""
            if not NAME.fullmatch(name) or name in [question.id for question in found]:
                self.wrong(entries["id"], f"id {name!r} must be a name of its own: a letter, then letters, digits, '-'")
            between = self.texts(entries["between"], "between")
            wrong = [message for text, _ in between if (message := terminal_mistake(text, circuit.parts))]
            if len(between) != 2 or wrong:  # noqa: PLR2004 - a path has two ends
                self.wrong(entries["between"], f"between: {'; '.join(wrong) or 'two terminals are needed'}")
                continue
            ends = between[0][0], between[1][0]
            choices, right = self._choices(entries["choices"], circuit, ends, name)
            prompt = self.text(entries["prompt"], "prompt") or ""
            found.append(ContinuityQuestion(name, prompt, ends, choices, right))
        return tuple(found)

    def _choices(
        self, node: Node, circuit: Circuit, between: tuple[str, str], name: str
    ) -> tuple[tuple[str, ...], str]:
        """Return the choices and the one that the sound circuit makes right in every state."""
        states = path_states(circuit, between)
        choices: list[str] = []
        right: list[str] = []
        for text, item in self.texts(node, "choices"):
            try:
                condition = parse_condition(text, circuit)
            except Refused as error:
                self.wrong(item, f"choice {text!r}: {error.mistakes[0].message}")
                continue
            choices.append(condition.text)
            right += [condition.text] if first_wrong(condition, states) is None else []
        if len(right) != 1 or len(set(choices)) != len(choices):
            there = [", ".join(f"{key}={value}" for key, value in state.items()) for state, yes in states if yes]
            self.wrong(
                node,
                f"question {name}: exactly one choice must be right, and {len(right)} are; "
                f"the path is there in {len(there)} of {len(states)} states ({'; '.join(there[:8]) or 'none'})",
            )
        return tuple(choices), right[0] if right else ""

    def _safety_switches(self, node: Node | None, circuit: Circuit) -> tuple[str, ...]:
        switches = [part.name for part in circuit.parts.values() if part.kind == "switch"]
        if node is None:
            return tuple(switches)
        named = self.texts(node, "safety_switches")
        for name, item in named:
            if name not in switches:
                self.wrong(item, f"safety_switches: {unknown('switch', name, switches)}")
        return tuple(name for name, _ in named)

    def _rubric(self, node: Node | None) -> Rubric:
        if node is None:
            return Rubric()
        if not isinstance(node, ScalarNode):
            return read_rubric(self, node)
        name = self.text(node, "rubric") or ""
        other = Reader(Path(name).name)
        rubric = Rubric()
        try:
            rubric = read_rubric(other, other.compose(self._neighbour(name)))
        except Refused as error:
            other.mistakes += error.mistakes
        self.mistakes += other.mistakes
        return rubric


def _factor(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.5 <= value <= 2:  # noqa: PLR2004 - beyond that it is another machine
        raise Refused(f"{text!r} is not a factor from 0.5 to 2")
    return value


def _count(text: str) -> float:
    if not text.isdecimal() or len(text) > 6:  # noqa: PLR2004 - a million suspects is no circuit
        raise Refused(f"{text!r} is not a whole number")
    return float(text)
