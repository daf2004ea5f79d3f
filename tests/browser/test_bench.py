"""The bench in a real JupyterLab: operated, measured, cited and submitted, by mouse and by keyboard alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.jupyterlab import Lab, jupyterlab, write_notebook

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

SET_UP = """
from pathlib import Path

from faultwright_widgets.bench_view import BenchView
from faultwright_widgets.exercise import Exercise
from tests.widgets.sprayer import bench

view = BenchView(
    bench("W6 open", file=Path("record.json")),
    Exercise(
        complaint="The pump does not run when the tank is full. With the test button it does.",
        questions={
            "calculation": {"prompt": "How many volts stand across the relay's coil on a healthy machine?"},
            "continuity": [{"id": "float", "prompt": "Tank low: S1:2 to K1:86?", "choices": ["yes", "no"]}],
        },
    ),
    answer_file=Path("answer.json"),
)
view
"""
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Lab, Path]]:
    """Yield a JupyterLab and the folder that it serves."""
    folder, home = tmp_path_factory.mktemp("work"), tmp_path_factory.mktemp("home")
    with jupyterlab(folder, home) as running:
        yield running, folder


@pytest.fixture
def opened(lab: tuple[Lab, Path], browser: Browser) -> Iterator[tuple[Page, Path]]:
    """Yield a page on which a bench has been opened afresh, and the folder of its files."""
    running, folder = lab
    for file in ("record.json", "answer.json"):
        (folder / file).unlink(missing_ok=True)
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    failures: list[str] = []
    page.on("pageerror", lambda error: failures.append(str(error)))
    open_bench(running, folder, page)
    yield page, folder
    page.close()
    assert failures == []


def open_bench(running: Lab, folder: Path, page: Page, *cells: str) -> None:
    """Open a new notebook with the bench in it and run its cells."""
    path_first = f"import sys\nsys.path.insert(0, {str(ROOT)!r})\n"
    write_notebook(folder / "bench.ipynb", path_first + SET_UP, *cells)
    running.open(page, "bench.ipynb")
    assert running.run_all(page) == []
    page.set_default_timeout(15_000)
    page.locator(".fwb-sheet svg").first.wait_for()


def terminal(page: Page, name: str) -> Locator:
    """Return a terminal on the drawing."""
    return page.locator(f'.fwb-sheet [data-terminal="{name}"] .fw-pin').first


def number(page: Page) -> Locator:
    """Return what the meter shows."""
    return page.locator('[data-role="number"]').first


def answer_of(folder: Path) -> dict[str, Any]:
    """Return the answer file."""
    found: dict[str, Any] = json.loads((folder / "answer.json").read_text(encoding="utf-8"))
    return found


def test_a_journey_from_complaint_to_proof(opened: tuple[Page, Path], tmp_path: Path) -> None:
    """Controls, drawing, meter, findings, citation, answer, repair and proof work together, and the file holds it."""
    page, folder = opened
    pump = page.locator('[data-behaviour="pump"] dd')
    expect(pump).to_have_text("no")
    page.locator('[data-control="key"] [data-value="on"]').click()
    page.locator('[data-control="float"] [data-value="full"]').click()
    expect(page.locator('[data-control="float"] [data-value="full"]')).to_have_attribute("aria-checked", "true")
    page.locator('[data-section="operate"] [data-do="observe"]').click()
    expect(page.locator('[data-finding="2"]')).to_contain_text("pump: no")

    terminal(page, "B1:2").click()
    terminal(page, "FRAME").click()
    expect(number(page)).to_contain_text("12.")
    expect(page.locator('.fwb-sheet [data-lead="red"] text')).to_have_text("R")
    expect(page.locator('.fwb-sheet [data-lead="black"] text')).to_have_text("B")
    page.locator('[data-do="read"]').click()
    terminal(page, "K1:86").click()
    expect(number(page)).to_have_text("0.0 mV")
    page.locator('[data-do="read"]').click()
    page.locator('[data-cite="3"]').check()
    page.locator('[data-cite="4"]').check()

    page.locator('[data-field="claim-place"]').select_option("W6")
    page.locator('[data-field="claim-what"]').select_option("open")
    page.locator('[data-do="claim"]').click()
    page.locator('[data-field="calculation"]').fill("12,4 V")
    page.locator('[data-group="float"] [data-value="no"]').click()
    page.locator('[data-group="confidence"] [data-value="would sign for it"]').click()
    expect(page.locator('[data-field="remedy-place"]')).to_be_visible()

    page.locator('[data-field="repair-place"]').select_option("W6")
    page.locator('[data-field="repair-what"]').select_option("mend the wire")
    page.locator('[data-do="repair"]').click()
    expect(pump).to_have_text("yes")
    page.locator('[data-section="proof"] [data-do="observe"]').click()
    expect(page.locator('[data-role="remedy"]')).to_have_text("W6 mend the wire, as done at the bench")
    expect(page.locator('[data-field="remedy-place"]')).to_be_hidden()
    expect(page.locator('[data-role="proof"]')).to_contain_text("since the last repair: 1 (of 8")
    expect(page.locator('[data-section="proof"] tbody tr').last).to_contain_text("pump: yes, lamp: lit")
    assert page.locator(".fwb h3").all_inner_texts()[-3:] == ["Repair", "Proof", "Submit"]
    page.locator('[data-do="submit"]').click()
    expect(page.locator('[data-said="submit"]')).to_have_text("Submitted: the answer stands in answer.json.")
    page.screenshot(path=tmp_path / "bench.png")

    answer = answer_of(folder)
    assert answer["claim"] == ["W6 open"]
    assert answer["cited"] == [3, 4]
    assert answer["calculation"] == "12,4 V"
    assert answer["continuity"] == {"float": "no"}
    assert answer["remedy"] == "W6 mend the wire"
    assert answer["confidence"] == "would sign for it"
    assert [list(action) for action in answer["record"]["actions"]] == [
        ["move"], ["move"], ["see"], ["read"], ["read"], ["move"], ["see"],
    ]  # fmt: skip
    assert json.loads((folder / "record.json").read_text(encoding="utf-8")) == answer["record"]


def test_a_click_beside_a_terminal_means_it(opened: tuple[Page, Path]) -> None:
    """A terminal takes clicks 12 pixels away from it, so 24 across, however small it is drawn."""
    page, _folder = opened
    for _ in range(3):
        page.locator('[data-zoom="smaller"]').click()
    terminal(page, "G1:+").scroll_into_view_if_needed()
    box = terminal(page, "G1:+").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2 - 12, box["y"] + box["height"] / 2)
    expect(page.locator('[data-lead-input="red"]')).to_have_value("G1:+")


IN_SIGHT = """(element) => {
  const box = element.getBoundingClientRect();
  const points = [[0.5, 0.5], [0.1, 0.1], [0.9, 0.9]].map(([x, y]) => [box.x + x * box.width, box.y + y * box.height]);
  return points.every(([x, y]) => element.contains(document.elementFromPoint(x, y)));
}"""


def test_a_reading_is_taken_beside_the_drawing(opened: tuple[Page, Path]) -> None:
    """At 1280 by 800 terminals, prediction, button and result share one screen, wherever the person comes from."""
    page, _folder = opened
    page.locator('[data-go="operate.go"]').click()
    for name in ("B1:2", "FRAME"):
        terminal(page, name).click()
    page.locator('[data-field="expected"]').fill("12 V")
    page.locator('[data-do="read"]').click()
    expect(number(page)).to_contain_text("V")
    expect(page.locator("[data-finding]")).to_have_count(1)
    for selector in (".fwb-sheet", '[data-role="reading"]', '[data-do="read"]', '[data-lead-input="black"]'):
        assert page.locator(selector).evaluate(IN_SIGHT), selector
    assert page.locator('[data-field="expected"]').evaluate(IN_SIGHT)
    page.locator('[data-go="measure.go"]').click()
    expect(page.locator('[data-control="key"] [data-value="off"]')).to_be_focused()
    for selector in (".fwb-sheet", '[data-control="key"] [data-value="off"]', '[data-role="seen"]'):
        assert page.locator(selector).evaluate(IN_SIGHT), selector


COVERED = """() => {
  const boxes = (selector) => [...document.querySelectorAll(selector)].map((e) => e.getBBox());
  const marks = boxes('.fwb-lead > :is(circle, rect):not(.fwb-lead-ring)');
  const words = boxes('.fwb-sheet svg text').slice(0, -2);  // the marks' own letters come last
  const over = (a, b) => a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
  const covering = marks.filter((mark, at) => [...words, ...marks.slice(0, at)].some((box) => over(mark, box)));
  return [marks.length, covering.length];
}"""


def test_the_leads_marks_cover_no_writing(opened: tuple[Page, Path]) -> None:
    """Wherever the leads are, both on one terminal too, their marks leave numbers, names and each other free."""
    page, _folder = opened
    names = page.locator(".fwb-sheet [data-terminal]").evaluate_all("(all) => all.map((e) => e.dataset.terminal)")
    for red, black in [*zip(names[::4], names[1::4], strict=False), ("K1:86", "K1:86")]:
        for lead, name in (("red", red), ("black", black)):
            page.locator(f'[data-lead-input="{lead}"]').fill(name)
            page.locator(f'[data-lead-input="{lead}"]').press("Tab")
            page.locator(f'.fwb-lead-{lead}[data-at="{name}"]').wait_for()
        assert page.evaluate(COVERED) == [2, 0], (red, black)


def test_the_focus_stays_where_a_pressed_button_was(opened: tuple[Page, Path]) -> None:
    """Isolating, mating again and undoing by keyboard never throw the focus back to the page's beginning."""
    page, _folder = opened
    button = page.locator('[data-isolate="G1"]')
    button.focus()
    press(page, "Enter")
    expect(button).to_have_text("G1 is off, isolated: mate it")
    expect(button).to_be_focused()
    page.locator('[data-role="wiring"] button').focus()
    press(page, "Enter")
    expect(page.locator('[data-role="wiring"]')).to_have_text("Everything mated, nothing added.")
    expect(page.locator('[data-role="wiring"]')).to_be_focused()
    assert violations(page) == []


RESTART = "async () => { await window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart(); }"


def test_a_bench_without_its_kernel_is_locked(opened: tuple[Page, Path]) -> None:
    """After a kernel restart nothing can be pressed, and what to do is said; then all that was done is back."""
    page, _folder = opened
    on = page.locator('[data-control="key"] [data-value="on"]')
    on.click()
    page.locator('[data-section="operate"] [data-do="observe"]').click()
    expect(page.locator("[data-finding]")).to_have_count(1)
    page.evaluate(RESTART)
    expect(page.locator(".fwb-lock")).to_have_text(
        "The kernel was restarted. Choose Run > Run All Cells; what is in the record is kept."
    )
    expect(page.locator(".fwb-lock")).to_be_focused()
    expect(on).to_be_disabled()
    off = page.locator('[data-control="key"] [data-value="off"]')
    off.click(force=True)
    expect(off).to_have_attribute("aria-checked", "false")
    assert violations(page) == []
    page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
    expect(page.locator(".fwb-lock")).to_be_hidden()
    expect(page.locator('[data-control="key"] [data-value="on"]')).to_be_enabled()
    expect(page.locator('[data-control="key"] [data-value="on"]')).to_have_attribute("aria-checked", "true")


def test_a_silent_kernel_locks_the_bench_until_it_answers(lab: tuple[Lab, Path], opened: tuple[Page, Path]) -> None:
    """While another cell keeps the kernel busy the bench shows what is known, and opens again with the answer."""
    page, _folder = opened
    open_bench(*lab, page, "if Path('busy').exists():\n    import time\n    time.sleep(8)")
    busy = lab[1] / "busy"
    busy.touch()
    page.evaluate(
        "() => { const app = jupyterapp; app.shell.currentWidget.content.activeCellIndex = 1;"
        " void app.commands.execute('notebook:run-cell'); }"
    )
    on = page.locator('[data-control="key"] [data-value="on"]')
    on.click()
    expect(page.locator(".fwb-lock")).to_contain_text("does not answer")
    expect(on).to_have_attribute("aria-checked", "false")
    expect(page.locator(".fwb-lock")).to_be_hidden()
    expect(on).to_have_attribute("aria-checked", "true")
    busy.unlink()


def press(page: Page, *keys: str) -> None:
    """Press keys one after the other."""
    for key in keys:
        page.keyboard.press(key)


def test_the_same_by_keyboard_alone(opened: tuple[Page, Path]) -> None:
    """Arrow keys move a control, Space holds a button down, the from-to table takes the leads; no shortcut fires."""
    page, folder = opened
    cells = page.locator(".jp-Cell").count()
    page.locator('[data-control="key"] [role="radio"][tabindex="0"]').focus()
    press(page, "ArrowRight")
    expect(page.locator('[data-control="key"] [data-value="on"]')).to_be_focused()
    expect(page.locator('[data-control="key"] [data-value="on"]')).to_have_attribute("aria-checked", "true")
    press(page, "b", "d", "d", "a")  # in command mode these insert and delete cells
    assert page.locator(".jp-Cell").count() == cells

    press(page, "Tab")
    button = page.locator('[data-hold="pressed"]')
    expect(button).to_be_focused()
    page.keyboard.down(" ")
    expect(page.locator('[data-behaviour="pump"] dd')).to_have_text("yes")
    page.keyboard.up(" ")
    expect(page.locator('[data-behaviour="pump"] dd')).to_have_text("no")

    page.locator('[data-lead-input="red"]').focus()
    page.keyboard.type("B1:1")
    press(page, "Tab")
    expect(page.locator('[data-lead-input="black"]')).to_be_focused()
    page.keyboard.type("FRAME")
    press(page, "Tab")
    expect(number(page)).to_contain_text("12.")
    page.locator('[data-do="read"]').focus()
    press(page, "Enter")
    box = page.locator("[data-cite]").first
    box.focus()
    press(page, " ")
    expect(box).to_be_checked()
    expect(page.locator('[data-role="cited"]')).to_have_text("4")
    assert answer_of(folder)["cited"] == [3]


@pytest.mark.parametrize("end", ["up", "leave", "blur"])
def test_a_held_button_is_never_stuck(opened: tuple[Page, Path], end: str) -> None:
    """However the hold ends, also outside the button or with the window's focus lost, the control springs back."""
    page, _folder = opened
    page.locator('[data-control="key"] [data-value="on"]').click()
    button = page.locator('[data-hold="pressed"]')
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    expect(page.locator('[data-behaviour="pump"] dd')).to_have_text("yes")
    if end == "leave":
        page.mouse.move(5, 5)
    if end == "blur":
        page.evaluate("window.dispatchEvent(new Event('blur'))")
    else:
        page.mouse.up()
    expect(page.locator('[data-behaviour="pump"] dd')).to_have_text("no")
    expect(button).to_have_attribute("aria-pressed", "false")


def test_two_views_of_one_bench_stay_in_step(opened: tuple[Page, Path], lab: tuple[Lab, Path]) -> None:
    """What is done in one view shows in the other, and their drawings share no id."""
    page, _ = opened
    open_bench(*lab, page, "view")
    first, second = page.locator(".fwb").nth(0), page.locator(".fwb").nth(1)
    second.locator(".fwb-sheet svg").wait_for()
    first.locator('[data-control="key"] [data-value="on"]').click()
    expect(second.locator('[data-control="key"] [data-value="on"]')).to_have_attribute("aria-checked", "true")
    second.locator('[data-lead-input="red"]').fill("K1:86")
    second.locator('[data-lead-input="red"]').press("Tab")
    expect(first.locator('[data-lead-input="red"]')).to_have_value("K1:86")
    doubled = page.evaluate(
        "() => { const ids = [...document.querySelectorAll('.fwb [id]')].map((e) => e.id);"
        " return ids.filter((id, at) => ids.indexOf(id) !== at); }"
    )
    assert doubled == []


def test_refusals_and_front_end_errors_are_shown(opened: tuple[Page, Path]) -> None:
    """A wrong terminal is refused at the meter; an error in the page's own script is shown and not swallowed."""
    page, _folder = opened
    page.locator('[data-lead-input="red"]').fill("K1:41")
    page.locator('[data-lead-input="red"]').press("Tab")
    alert = page.locator('[data-alert="measure"]')
    expect(alert).to_contain_text("K1 has no terminal 41 (it has 85 86 30 87 87a)")
    assert alert.get_attribute("role") == "alert"
    page.evaluate("() => { Element.prototype.setPointerCapture = () => { throw new Error('made to fail'); }; }")
    page.locator('[data-hold="pressed"]').click()
    expect(page.locator('[data-alert="bench"]')).to_contain_text("made to fail")


SMALL = """() => [...document.querySelectorAll('.fwb button, .fwb input, .fwb select, .fwb summary')]
  .filter((e) => e.checkVisibility())
  .map((e) => [e.outerHTML.slice(0, 120), e.getBoundingClientRect()])
  .filter(([, box]) => box.width < 24 || box.height < 24)
  .map(([html]) => html)"""

UNGUARDED = """() => [...document.querySelectorAll('.fwb *')]
  .filter((e) => e.tabIndex >= 0 || e.hasAttribute('tabindex'))
  .filter((e) => !(e instanceof SVGElement) && e.dataset.lmSuppressShortcuts !== 'true')
  .map((e) => e.outerHTML.slice(0, 120))"""


@pytest.mark.parametrize("theme", ["JupyterLab Light", "JupyterLab Dark"])
def test_nothing_is_in_a_persons_way(opened: tuple[Page, Path], theme: str) -> None:
    """axe-core finds nothing in either theme, targets are 24 px, and every focusable element keeps shortcuts out."""
    page, _folder = opened
    page.evaluate("(theme) => jupyterapp.commands.execute('apputils:change-theme', {theme})", theme)
    page.locator(f'body[data-jp-theme-name="{theme}"]').wait_for(state="attached")
    for summary in page.locator(".fwb details > summary").all():
        summary.click()
    page.locator('[data-control="key"] [data-value="on"]').click()
    page.locator('[data-section="operate"] [data-do="observe"]').click()
    page.locator('[data-do="read"]').click()
    expect(page.locator('[data-alert="measure"]')).to_be_visible()
    page.locator('[data-field="repair-place"]').select_option("W7")
    page.locator('[data-field="repair-what"]').select_option("mend the wire")
    page.locator('[data-do="repair"]').click()
    expect(page.locator('[data-role="proof"]')).to_be_visible()
    assert violations(page) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate(UNGUARDED) == []


WIDE = """() => {
  const bench = document.querySelector('.fwb');
  const edge = bench.getBoundingClientRect().right + 1;
  return [...bench.querySelectorAll('*')]
    .filter((e) => e.checkVisibility() && !e.closest('.fwb-sheet, .fwb-scroller'))
    .filter((e) => e.getBoundingClientRect().right > edge)
    .map((e) => e.outerHTML.slice(0, 120));
}"""


@pytest.mark.parametrize("width", [640, 320])
def test_a_narrow_page_reflows(opened: tuple[Page, Path], width: int) -> None:
    """At 200 % and 400 % zoom of 1280 pixels nothing but the drawing and tables scrolls sideways."""
    page, _folder = opened
    page.set_viewport_size({"width": width, "height": 800})
    page.locator('[data-section="operate"] [data-do="observe"]').click()
    expect(page.locator("[data-finding]")).to_have_count(1)
    assert page.evaluate(WIDE) == []
    table = page.locator('[data-section="findings"] .fwb-scroller')
    assert table.evaluate("(e) => e.scrollWidth <= e.clientWidth")
