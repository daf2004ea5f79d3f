"""From a click to the new reading, in Chromium: the bench beside a bare pair of widgets on the same page.

The bare pair is the least that a notebook can do: a ``ToggleButton`` whose value is observed and put into an ``HTML``.
The bench has the 45 parts of ``verge_mower_45.yaml``, both leads on, and shows volts live. Clicks on the two take
turns. The kernel's work is all that ``BenchView`` does between a message and its answer: the move, the reading, the
drawing, and handing what has changed to the messages that go out. The file is saved after that, and told apart.
"""

from __future__ import annotations

import shutil
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from playwright.sync_api import sync_playwright

from faultwright.files import read_json, write_json
from tests.browser.jupyterlab import Lab, jupyterlab, write_notebook
from tests.conftest import CHROMIUM_ARGUMENTS

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ROOT = Path(__file__).parents[2]
CLICKS = 100
MANY_FINDINGS = 300
"""Far more than anybody notes on one machine."""
PROMPT = "faultwright_widgets.prompt_connection.PromptConnection"

_BARE = """
import ipywidgets

toggle, shown = ipywidgets.ToggleButton(description="key"), ipywidgets.HTML("0 V")
toggle.observe(lambda change: setattr(shown, "value", "12 V" if change.new else "0 V"), "value")
toggle.add_class("bare-key")
shown.add_class("bare-shown")
ipywidgets.HBox([toggle, shown])
"""
_BENCH = """
import json
import sys
import time
from pathlib import Path

sys.path.insert(0, {root!r})
from faultwright.bench import Bench
from faultwright.circuit_file import read_circuit
from faultwright.faults import parse_fault
from faultwright.meter import VOLTS, Probe
from faultwright_widgets.bench_view import BenchView


class TimedView(BenchView):
    def _receive(self, *message):
        self.start = time.perf_counter()
        super()._receive(*message)
        saved.append(time.perf_counter() - self.start)
        # Written after each, outside what is timed: the page cannot be asked for it.
        Path("taken.json").write_text(json.dumps([answered, saved]))

    def _show(self, parts):
        super()._show(parts)
        answered.append(time.perf_counter() - self.start)


answered, saved = [], []
circuit = read_circuit(Path({root!r}) / "tests" / "benchmarks" / "verge_mower_45.yaml")
bench = Bench(circuit, [parse_fault("W20 open", circuit)])
for number in range({findings}):
    bench.read(Probe(VOLTS, ("S1:2", "F1:2", "X4:3")[number % 3], "FRAME"))
view = TimedView(bench, answer_file=Path("answer.json"))
for lead, terminal in (("red", "S1:2"), ("black", "FRAME")):
    view.session.work.meter.point(lead, terminal)
view
"""
_CLICK = """async (clicks) => {
  const rest = (ms) => new Promise((done) => setTimeout(done, ms));
  const bench = document.querySelector('.fwb');
  const ways = {
    bare: {
      press: () => document.querySelector('.bare-key'),
      shown: document.querySelector('.bare-shown'),
    },
    bench: {
      press: () => bench.querySelector('[data-control="key"] [aria-checked="false"]'),
      shown: bench.querySelector('[data-role="number"]'),
    },
  };
  const click = ({ press, shown }) => new Promise((done, fail) => {
    const before = shown.textContent;
    const late = setTimeout(() => fail(new Error('nothing new after 5 s: ' + before)), 5000);
    const watcher = new MutationObserver(() => {
      if (shown.textContent === before) return;
      const changed = performance.now() - start;
      watcher.disconnect();
      clearTimeout(late);
      requestAnimationFrame(() => setTimeout(() => done({ changed, painted: performance.now() - start })));
    });
    watcher.observe(shown, { childList: true, characterData: true, subtree: true });
    const button = press();
    const start = performance.now();
    button.click();
  });
  const found = { bare: [], bench: [] };
  for (let turn = 0; turn < clicks + 4; turn += 1) {
    for (const [name, way] of Object.entries(ways)) {
      const times = await click(way);
      if (turn >= 4) found[name].push(times); // the first ones warm up
      await rest(60 + Math.random() * 20); // until all of the kernel's messages are in
    }
  }
  return found;
}"""


@dataclass(frozen=True, slots=True)
class Latency:
    """What clicks took, in ms each: until the reading was there, and until it was painted; and the kernel's part.

    ``kernel`` is the work until the answer is handed over, ``saved`` that until the file is written too.
    """

    bare: Sequence[float]
    bench: Sequence[float]
    bare_painted: Sequence[float]
    bench_painted: Sequence[float]
    kernel: Sequence[float]
    saved: Sequence[float]

    @property
    def ratio(self) -> float:
        """How many times as long the bench takes as the bare pair (medians)."""
        return statistics.median(self.bench) / statistics.median(self.bare)

    @property
    def painted_ratio(self) -> float:
        """The same until the reading is painted."""
        return statistics.median(self.bench_painted) / statistics.median(self.bare_painted)

    @property
    def kernel_share(self) -> float:
        """Which part of a click on the bench is work in the kernel (medians)."""
        return statistics.median(self.kernel) / statistics.median(self.bench)


def latency(browser: Browser, folder: Path, *, prompt: bool, findings: int) -> Latency:
    """Serve a notebook with both in it and click; ``prompt`` lets the server send as that of ``faultwright lab``."""
    home, work = folder / "home", folder / "work"
    work.mkdir(parents=True)
    if prompt:
        setting = {"ServerApp": {"kernel_websocket_connection_class": PROMPT}}
        write_json(home / "config" / "jupyter_server_config.json", setting)
    home.mkdir(exist_ok=True)
    write_notebook(work / "latency.ipynb", _BARE, _BENCH.format(root=str(ROOT), findings=findings))
    with jupyterlab(work, home) as lab:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        try:
            found = _clicked(lab, page)
        finally:
            page.close()
    # The clicks that warm up are the first ones.
    answered, saved = (
        [1e3 * taken for taken in all_of_them[-CLICKS:]] for all_of_them in read_json(work / "taken.json")
    )
    return Latency(
        bare=[one["changed"] for one in found["bare"]],
        bench=[one["changed"] for one in found["bench"]],
        bare_painted=[one["painted"] for one in found["bare"]],
        bench_painted=[one["painted"] for one in found["bench"]],
        kernel=answered,
        saved=saved,
    )


def _clicked(lab: Lab, page: Page) -> dict[str, list[dict[str, float]]]:
    lab.open(page, "latency.ipynb")
    errors = lab.run_all(page)
    if errors:
        raise RuntimeError("\n".join(errors))
    page.locator(".fwb-sheet svg").first.wait_for()
    page.wait_for_timeout(1500)
    found: Any = page.evaluate(_CLICK, CLICKS)
    return dict(found)


def section() -> list[str]:
    """Return the section of the page on performance."""
    rows = []
    with sync_playwright() as playwright, TemporaryDirectory() as folder:
        # Chromium of the system, or else Playwright's own.
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=list(CHROMIUM_ARGUMENTS))
        for prompt, findings in product((True, False), (0, MANY_FINDINGS)):
            found = latency(browser, Path(folder) / f"{prompt}-{findings}", prompt=prompt, findings=findings)
            server = "`faultwright lab`" if prompt else "any other server"
            times = (found.bare, found.bench, found.bare_painted, found.bench_painted, found.kernel, found.saved)
            cells = " | ".join(f"{statistics.median(one):.3g} / {_p95(one):.3g}" for one in times)
            rows.append(f"| {server} | {findings} | {cells} | {found.ratio:.2f} | {found.kernel_share:.2f} |")
    return [
        "## The bench in the browser",
        "",
        f"From a click to the new reading, in Chromium and JupyterLab: ms, median / 95 % of {CLICKS} clicks each. The",
        "pair is a bare `ToggleButton` whose value is observed and put into an `HTML`; the bench has 45 parts, both",
        "leads on, and volts live. Clicks on the two take turns on one page. *Painted* is when the next frame has been",
        "drawn. *Kernel* is all work between the message and its answer; *saved* is until the answer's file is written",
        "too, which nobody waits for. At most 1.5 is aimed at for the ratio of bench to pair, and at most 0.2 for the",
        "kernel's part.",
        "",
        "| server | findings | pair | bench | pair, painted | bench, painted | kernel | saved | ratio | kernel part |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |",
        *rows,
        "",
        "The server of `faultwright lab` sends small messages at once. Any other holds an answer back for some 40 ms,",
        "until the page has acknowledged the message before it; the pair's is sometimes spared that, so the ratio",
        "there says little.",
        "",
    ]


def _p95(times: Sequence[float]) -> float:
    return sorted(times)[int(0.95 * len(times))]
