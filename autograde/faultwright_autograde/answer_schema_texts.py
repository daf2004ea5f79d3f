"""What an editor shows at each entry of an answer and its record, in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping

ANSWER: Mapping[str, str] = {
    "version": "The version of the answer's format.",
    "circuit": "The circuit's name, as its file says.",
    "paper": "The paper's number, as the sheet says. An answer to another paper is not marked.",
    "record": "What was done and found, in order.",
    "claim": "The faults that are named, PLACE MODE. Those that no test tells apart are named together.",
    "cited": "The findings that decide, as numbers of the record's actions, counted from 0.",
    "calculation": "The value that is asked for: a number with its unit, such as 12 mA, 0.012 A or 12,0 mA.",
    "continuity": "The choice for each question about a path, by the question's name.",
    "remedy": "What cures the fault, PLACE REMEDY, such as W4 mend the wire.",
    "confidence": "How sure; it is not marked.",
    "notes": "Remarks of one's own by the action's number; they are not marked.",
}

RECORD: Mapping[str, str] = {
    "circuit": "The circuit's name once more.",
    "actions": "Moves, readings and looks in the order in which they were made, from rest.",
    "version": "The version of the record's format.",
}

ACTION: Mapping[str, str] = {
    "move": "A move: control=position, rest, or work such as unplug=X1 or repair=W4 mend the wire.",
    "read": "A reading of the meter.",
    "see": "What is seen of some behaviours: off, dim or lit of a lamp, true or false of the others.",
    "inspect": "What inspection of a place shows; it is not marked.",
    "ask": "What the operator was asked and answered; it is not marked.",
}

READ: Mapping[str, str] = {
    "meter": "What the meter was set to.",
    "red": "The terminal at the red lead; on amps in series the wire or part.",
    "black": "The terminal at the black lead; left out on amps in series.",
    "expected": "What was expected beforehand, a number in the unit V, A or Ω; it is not marked.",
    "value": "What was shown, a number in the unit V, A or Ω: 12 mA is 0.012. Null where no number was shown.",
    "unit": "The unit: V on volts and diode test, A on amps, Ω on ohms and continuity.",
    "status": "ok goes with a value; left out it is ok. The others go without.",
    "source": "bench for a real meter on a real machine, else nothing.",
    "alone": "The part, where it was measured in the hand.",
    "leads": "Ω of leads that were not zeroed.",
    "range": "The full scale of a range that was chosen, in the unit; left out on auto.",
    "energised": "Whether the machine was energised, as the bench noted.",
    "note": "A remark.",
}

INSPECTED: Mapping[str, str] = {"at": "The place.", "seen": "What was seen there."}

ASKED: Mapping[str, str] = {"question": "The question.", "answer": "The answer."}

TITLE = "Answer with its record"
FILE = "What a candidate did, found, claims, cites, calculates and proposes: one JSON file."
ACTION_ITSELF = "One action: a table with exactly one entry."
FAULT = "A fault, PLACE MODE, with or without its value."
FINDING = "The number of a reading or a look, counted from 0."
CHOICE = "One of the choices, as it is written in the question."
SEEN = "What is seen; null for what could not be told."
BEHAVIOUR = "A behaviour of the machine, by its name."
OK = "The status is ok, or left out."
WITH_A_VALUE = "A number was shown."
WITHOUT_A_VALUE = "No number was shown."
RANGES_OF = "The full scales that can be chosen there."
UNIT_OF = "The unit that the meter then reads in."
