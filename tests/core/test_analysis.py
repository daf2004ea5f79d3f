"""The analysis of a circuit: suspects by symptom by hand and by brute force, sections, refusals, and the page."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser
from math import fsum

import pytest

from faultwright.analysis import SECTIONS, Analysis, analyse
from faultwright.analysis_page import analysis_page
from faultwright.circuit import Circuit, Control, SafetyNote
from faultwright.errors import Refused
from faultwright.faults import universe
from faultwright.frequency import SOUND, relative_frequency
from faultwright.machine import Machine
from faultwright.single_faults import DISCLAIMER
from faultwright.symptoms import symptoms
from faultwright_course.catalogue import circuit_names, course_circuit
from tests.core import depot
from tests.tiers import large_ones_slow

ALWAYS_ON = """
circuit: marker-lamp
title: Marker lamp without a switch
nominal: 12 V
parts:
  G1: {kind: battery}
  P1: {kind: lamp, power: 5 W, voltage: 12 V}
wires:
  W1: {from: G1:+, to: P1:1}
  W2: {from: P1:2, to: G1:-}
"""
"""Neither a control nor a behaviour."""


# Suspects by symptom


def test_faults_stand_together_that_a_machine_shows_alike() -> None:
    """Every fault of the shed put into a machine of its own, seen at rest and with the key on: the same grouping."""
    circuit = depot.circuit(depot.SHED)
    alike: dict[tuple[object, object], set[str]] = {}
    for name, fault in universe(circuit).items():
        machine = Machine(circuit, [fault])
        alike.setdefault((machine.seen()["lamp"], machine.move("key=on").seen["lamp"]), set()).add(name)
    found = symptoms(circuit)
    assert {frozenset(entry.names) for entry in found.entries} == {frozenset(names) for names in alike.values()}
    assert set(found.entries[0].names) == alike["off", "lit"]
    assert [() in entry.suspects for entry in found.entries] == [True, False, False, False]


def test_the_commonest_complaint_comes_first() -> None:
    """Each entry's share is its part of all weights of frequency; complaints by share, suspects by weight."""
    circuit = depot.circuit(depot.MOWER)
    weights = {name: int(relative_frequency(fault, circuit)) for name, fault in universe(circuit).items()}
    found = symptoms(circuit)
    total = sum(weights.values()) + SOUND
    for entry in found.entries:
        own = [weights[name] for name in entry.names]
        assert own == sorted(own, reverse=True)
        assert entry.share == pytest.approx((sum(own) + (SOUND if entry.number == 0 else 0)) / total)
    shares = [entry.share for entry in found.complaints]
    assert shares == sorted(shares, reverse=True)
    assert fsum([found.entries[0].share, *shares]) == pytest.approx(1)


def test_complaints_in_words() -> None:
    """By hand: on the mower the seat switch grounds the magneto while nobody sits and the brake is released.

    Stuck closed it does so with the seat taken too, save with the key off, where there is no spark anyhow. Broken it
    does so never: with the key off there is no spark anyhow again. The starter needs the key on start and the brake
    set; without its coil it does not crank, wherever it should, and the engine does not begin to run either.
    """
    entries = {name: entry for entry in symptoms(depot.circuit(depot.MOWER)).entries for name in entry.names}
    assert entries["S2 stuck closed"].complaint() == [
        "when (key on or start) and seat taken and brake released: sparks no instead of yes"
    ]
    assert entries["S2 stuck open"].complaint() == [
        "when (key on or start) and seat empty and brake released: sparks yes instead of no"
    ]
    assert entries["Y1 open"].complaint() == ["always: cranks no instead of yes, runs no instead of yes"]
    assert entries["G1 discharged"].complaint() == ["nothing is seen to be wrong"]
    one = entries["S1 sticking"]
    assert one.words() == [
        f"{one.number}. always: cranks no instead of yes, sparks no instead of yes, runs no instead of yes",
        "   1 suspect: S1 sticking",
    ]


def test_a_symptom_as_json() -> None:
    """Nothing left out: a lamp's words, the condition as statements are written, the share of weights 27 and 1."""
    circuit = depot.circuit(depot.SHED)
    total = SOUND + sum(relative_frequency(fault, circuit) for fault in universe(circuit).values())
    entries = symptoms(circuit).as_json()
    assert entries[3] == {
        "number": 3,
        "differences": [{"behaviour": "lamp", "sound": "off", "seen": "lit", "when": "key=off", "states": 1}],
        "suspects": ["S1 stuck closed", "W2 shorted to supply"],
        "healthy": False,
        "share": round((27 + 1) / total, 4),
    }
    assert entries[0]["differences"] == []
    assert entries[0]["healthy"] is True


# Sections


def test_only_what_is_asked_for() -> None:
    """Sections come in their own order, whatever the order of asking, and no other stands in the JSON."""
    found = analyse(depot.circuit(depot.SHED), only=["sneak_paths", "routes"])
    assert list(found.as_json()) == ["circuit", "routes", "sneak_paths", "refused"]
    assert found.symptoms is None
    whole = analyse(depot.circuit(depot.SHED)).as_json()
    assert list(whole) == ["circuit", *SECTIONS, "refused"]
    assert whole["refused"] == {}
    assert whole["routes"] == found.as_json()["routes"]


def test_a_section_alone_says_the_same_as_among_all() -> None:
    """What several sections share is worked out once, and changes nothing in any of them."""
    circuit = depot.circuit(depot.MOWER)
    whole = analyse(circuit).as_json()
    for name in SECTIONS:
        assert analyse(circuit, only=[name]).as_json()[name] == whole[name]


def test_unknown_sections_are_all_named() -> None:
    """Each with the nearest that there is."""
    with pytest.raises(Refused) as refusal:
        analyse(depot.circuit(depot.SHED), only=["route", "symptoms", "fuses"])
    allowed = "routes, truth_tables, symptoms, groups, testability, test_tree, single_faults, sneak_paths"
    assert str(refusal.value).splitlines() == [
        f"there is no section 'route'; did you mean 'routes'? (allowed: {allowed})",
        f"there is no section 'fuses' (allowed: {allowed})",
    ]


def test_the_tree_begins_with_the_complaint_asked_for() -> None:
    """By default the commonest with several suspects; another by number; one suspect needs no tree."""
    circuit = depot.circuit(depot.MOWER)
    entries = symptoms(circuit).entries
    for number in (None, 3):
        tree = analyse(circuit, only=["test_tree"], symptom=number).test_tree
        assert tree is not None
        assert tree.tree is not None
        suspects = entries[number or 1].suspects
        assert tree.tree.hypotheses == suspects
        ends = [one for node in tree.tree.nodes if node.test is None for one in node.suspects]
        assert sorted(ends) == list(range(len(suspects)))
        assert tree.as_json() == {"symptom": number or 1, **tree.tree.as_json()}
    alone = next(entry for entry in entries if entry.names == ["S1 sticking"])
    found = analyse(circuit, only=["test_tree"], symptom=alone.number)
    assert found.as_json()["test_tree"] is None
    assert found.words()[-1] == "   1 suspect: S1 sticking"
    with pytest.raises(Refused, match=r"^ride-on: there is no symptom 99 \(allowed: 0 to 12\)$"):
        analyse(circuit, only=["routes"], symptom=99)


def test_a_circuit_with_too_many_states_is_told_what_can_be() -> None:
    """13 controls of two positions have 8192 states: what goes through all of them says so, the rest is there."""
    shed = depot.circuit(depot.SHED)
    more = {f"c{number}": Control(f"c{number}", f"c{number}", ("a", "b")) for number in range(12)}
    found = analyse(replace(shed, controls={**shed.controls, **more}))
    too_many = "8192 control states; a table may have 4096 at most"
    through_all = ("truth_tables", "symptoms", "test_tree", "single_faults", "sneak_paths")
    assert found.refused == dict.fromkeys(through_all, too_many)
    assert [name for name, content in found.as_json().items() if content is None] == list(through_all)
    lines = found.words()
    assert lines[lines.index("Truth tables") + 2] == too_many
    assert found.groups is not None
    assert found.groups.level.groups
    assert analysis_page(found).count(f"<p>{too_many}</p>") == len(through_all)


def test_a_circuit_without_controls_and_behaviours() -> None:
    """Nothing is seen, so nobody complains; routes, groups and figures are there, and a page."""
    found = analyse(depot.circuit(ALWAYS_ON))
    assert found.refused == {}
    lines = found.words()
    nothing = "The circuit file names no behaviour, so the machine is not seen to do anything."
    assert lines[lines.index("Truth tables") + 2] == nothing
    assert (
        lines[lines.index("Test tree") + 2]
        == "No complaint leaves several suspects, so there is nothing to tell apart."
    )
    assert found.as_json()["test_tree"] is None
    assert [entry["number"] for entry in found.as_json()["symptoms"]] == [0]
    check_page(analysis_page(found), found)


def test_the_work_is_told_step_by_step() -> None:
    """What is done never goes back, names the section at work, and ends with all of it."""
    told: list[tuple[int, int, str]] = []
    analyse(depot.circuit(depot.SHED), lambda *step: told.append(step))
    done = [step[0] for step in told]
    assert done == sorted(done)
    assert {step[1] for step in told} == {done[-1]}
    assert list(dict.fromkeys(step[2] for step in told)) == [
        "Routes", "Truth tables", "Suspects by symptom", "Ambiguity groups", "Testability", "Test tree",
        "Single-fault sheet", "Sneak paths",
    ]  # fmt: skip


# The page


class Page(HTMLParser):
    """What the tests ask of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag; those that hold something must be closed again, in order."""
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag that holds nothing."""
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """See that the last one opened is closed."""
        assert self.open.pop() == tag

    def named(self, *tags: str) -> list[dict[str, str | None]]:
        """The attributes of all tags with these names."""
        return [attributes for tag, attributes in self.tags if tag in tags]


def check_page(html: str, analysis: Analysis) -> None:
    """Check what holds for every page: whole, by itself, with one heading above, ids once, tables with their words."""
    page = Page(html)
    assert page.open == []
    assert len(page.named("h1")) == 1
    assert page.named("html") == [{"lang": "en"}]
    ids = Counter(attributes["id"] for _, attributes in page.tags if "id" in attributes)
    assert {name for name, count in ids.items() if count > 1} == set()
    links = [attributes["href"] or "" for attributes in page.named("a")]
    assert links == ["#section-diagram", *(f"#section-{name}" for name, _ in analysis.sections)]
    assert {link.removeprefix("#") for link in links} <= set(ids)
    assert page.named("script", "link", "img", "iframe", "use", "image") == []
    assert [
        name for _, attributes in page.tags for name in attributes if name in ("src", "xlink:href", "onclick")
    ] == []
    for word in ("http:", "https:", "url(", "@import"):
        assert word not in html
    assert len(page.named("table")) == len(page.named("caption"))
    assert all(attributes.get("scope") in ("col", "row") for attributes in page.named("th"))
    regions = [attributes for _, attributes in page.tags if attributes.get("role") == "region"]
    assert all(attributes.get("tabindex") == "0" for attributes in regions)
    assert len({attributes["aria-label"] for attributes in regions}) == len(regions)
    assert all(f"{one['id']}-title" in ids and f"{one['id']}-desc" in ids for one in page.named("svg"))


@pytest.mark.parametrize("circuit", large_ones_slow(map(course_circuit, circuit_names())))
def test_the_course_circuits_are_analysed_whole(circuit: Circuit) -> None:
    """Every section of each is there, as words, as JSON and on a page with every drawing."""
    found = analyse(circuit)
    assert found.refused == {}
    assert [section for section, _ in found.sections] == list(SECTIONS)
    html = analysis_page(found)
    check_page(html, found)
    assert found.sneak_paths is not None
    assert html.count("<svg") == 2 + len(found.sneak_paths.paths)
    sheet = html.partition('<h2 id="section-single_faults">')[2].partition("</h2>")[2]
    assert sheet.lstrip().startswith(f'<p class="caution"><strong>{DISCLAIMER}</strong></p>')
    for note in circuit.safety:
        assert html.index(f"<strong>{note.signal.capitalize()}:</strong>") < html.index("<nav")


def test_what_an_author_writes_is_escaped() -> None:
    """A title and a note that look like HTML stay text."""
    shed = depot.circuit(depot.SHED)
    odd = replace(shed, title="Lamp <b>& shed", safety=(SafetyNote("danger", "<script>alert(1)</script>"),))
    found = analyse(odd, only=["routes"])
    html = analysis_page(found)
    check_page(html, found)
    assert "<h1>Analysis of Lamp &lt;b&gt;&amp; shed</h1>" in html
    assert "<strong>Danger:</strong> &lt;script&gt;alert(1)&lt;/script&gt;" in html
