// The drawn circuit, the prediction and the meter.

const NEAR = 16; // pixels from a terminal within which a click still means it, however small the drawing
const LEAST_SCALE = 0.65;

function diagramPanel(view) {
  const { h, t } = view;
  const next = radioGroup(view, {
    label: t("diagram.next"), name: "next",
    options: [{ value: "red", words: t("diagram.red") }, { value: "black", words: t("diagram.black") }],
    choose: (lead) => view.send({ do: "next", lead, place: "diagram" }),
  });
  const sheet = h("div", {
    class: "fwb-sheet", tabindex: "0", role: "group", "aria-label": t("diagram.label"),
    on: { click: choose },
  });
  // At first the drawing fills the sheet, unless that makes it too small to read.
  let width = "";
  const zoom = (factor) => {
    const svg = sheet.querySelector("svg");
    if (!svg) return;
    width = factor ? `${Math.min(Math.max(svg.getBoundingClientRect().width * factor, 200), 6000)}px` : "100%";
    size(svg);
  };
  const size = (svg) => {
    svg.style.width = width || "100%";
    svg.style.minWidth = width ? "0" : `${LEAST_SCALE * svg.getAttribute("width")}px`;
  };
  const zooms = [["smaller", 1 / 1.25], ["fit", 0], ["larger", 1.25]].map(([name, factor]) =>
    h("button", {
      "data-zoom": name, title: t(`diagram.${name}`), "aria-label": t(`diagram.${name}`), on: { click: () => zoom(factor) },
    }, t(`diagram.${name}_sign`)));
  const element = h("section", { class: "fwb-diagram", "aria-label": t("diagram.label") },
    h("div", { class: "fwb-row" }, h("span", { class: "fwb-label" }, t("diagram.next")), next.element,
      h("span", { class: "fwb-zoom" }, ...zooms)),
    view.alertBox("diagram"), sheet);
  const drawing = drawingOn(sheet, view);
  let leads = {};
  let marked = "";

  function choose(event) {
    const terminal = event.target.closest("[data-terminal]") || nearest(event);
    if (terminal) view.send({ do: "point", terminal: terminal.dataset.terminal, lead: "", place: "diagram" });
  }
  function nearest(event) {
    let found = null;
    let least = NEAR;
    for (const terminal of sheet.querySelectorAll("[data-terminal]")) {
      const box = spot(terminal).getBoundingClientRect();
      const away = Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
      if (away < least) [found, least] = [terminal, away];
    }
    return found;
  }
  function draw() {
    if (!drawing.show()) return;
    size(drawing.svg);
    marked = "";
    showLeads();
  }
  // The leads are marked by letter and shape as well: R in a disc, B in a square.
  function showLeads() {
    const { svg } = drawing;
    const asked = `${leads.red} ${leads.black}`;
    if (!svg || marked === asked) return;
    svg.querySelectorAll(".fwb-lead").forEach((mark) => mark.remove());
    marked = "";
    const taken = drawing.texts();
    if (!taken.some((box) => box.width)) return; // out of sight nothing has a place yet
    marked = asked;
    for (const [lead, letter] of [["red", "R"], ["black", "B"]]) {
      const terminal = [...svg.querySelectorAll("[data-terminal]")].find((item) => item.dataset.terminal === leads[lead]);
      if (terminal) svg.append(leadMark(spot(terminal), terminal.dataset.terminal, lead, letter, taken));
    }
  }
  view.onDiagram(draw);
  const inSight = new ResizeObserver(showLeads);
  inSight.observe(sheet);
  view.onLeave(() => inSight.disconnect());
  return {
    element,
    update(state) {
      next.update(state.meter.next);
      leads = state.meter;
      showLeads();
    },
  };
}

// The round of a terminal, which is its place; its text stands beside it.
function spot(terminal) {
  return terminal.querySelector(".fw-pin") || terminal;
}

// Where a mark may stand, from its terminal: near it on either side, else further out, past numbers and wire names.
const MARK = 10;
const BESIDE = [[16, 0], [-16, 0], [-24, 0], [-30, 0], [-40, 0], [16, 16], [16, -16], [-16, 16], [-16, -16], [-36, 18],
  [-36, -18], [36, 20], [36, -20]];

// A lead's mark on the first place where it covers nothing; `taken` are the boxes of what
// is there, and gets the mark's own.
function leadMark(place, terminal, lead, letter, taken) {
  const make = (tag, attributes) => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    return element;
  };
  const round = place.getBBox();
  const [x, y] = [round.x + round.width / 2, round.y + round.height / 2];
  const boxes = BESIDE.map(([right, down]) => (
    { x: x + right - MARK, y: y + down - MARK, width: 2 * MARK, height: 2 * MARK }));
  const box = boxes.find((one) => !taken.some((other) => overlap(one, other))) || boxes[0];
  taken.push(box);
  const [atX, atY] = [box.x + MARK, box.y + MARK];
  const group = make("g", { class: `fwb-lead fwb-lead-${lead}`, "data-lead": lead, "data-at": terminal, "pointer-events": "none" });
  const shape = lead === "red"
    ? make("circle", { cx: atX, cy: atY, r: MARK })
    : make("rect", { x: atX - 9.5, y: atY - 9.5, width: 19, height: 19 });
  const words = make("text", { x: atX, y: atY + 5, "text-anchor": "middle", "font-size": 14, "font-weight": "bold" });
  words.textContent = letter;
  // Straight to the side the mark needs no line, which would strike through the terminal's number.
  if (atY !== y) group.append(make("line", { class: "fwb-lead-ring", x1: x, y1: y, x2: atX, y2: atY }));
  group.append(make("circle", { class: "fwb-lead-ring", cx: x, cy: y, r: 5 }), shape, words);
  return group;
}

function overlap(one, other) {
  return one.x < other.x + other.width && other.x < one.x + one.width
    && one.y < other.y + other.height && other.y < one.y + one.height;
}

function predictSection(view) {
  const { h, t, setup } = view;
  const inputs = {};
  const build = (name, hint, list) => field(view, t(`predict.${name}`), (id) => (inputs[name] = h("input", {
    id, autocomplete: "off", list, "data-field": name, "aria-required": setup.required.includes(name) ? "true" : null,
    on: { change: (event) => view.send({ do: "predict", field: name, text: event.target.value, place: "predict" }) },
  })), hint);
  const faults = view.list(setup.places.flatMap((place) =>
    place.modes.map((mode) => ({ name: `${place.name} ${mode}`, says: place.says }))));
  const element = view.section("predict", h("div", { class: "fwb-row" },
    build("suspect", "", faults), build("expected", t("predict.expected_hint")), build("otherwise", "")));
  return {
    element,
    update: (state) => Object.entries(inputs).forEach(([name, input]) => showValue(input, state.prediction[name])),
  };
}

function measureSection(view) {
  const { h, t, setup } = view;
  const mode = radioGroup(view, {
    label: t("measure.mode"), name: "mode",
    options: setup.modes.map((name) => ({ value: name, words: t(`mode.${name}`) })),
    choose: (name) => view.send({ do: "meter", mode: name, place: "measure" }),
  });
  const leads = {};
  const leadRow = (lead) => {
    const id = view.id();
    leads[lead] = terminalInput(view, id, {
      "data-lead-input": lead, placeholder: t("measure.search"),
      on: { change: (event) => view.send({ do: "point", lead, terminal: event.target.value, place: "measure" }) },
    });
    return h("tr", {}, h("th", { scope: "row" }, h("label", { for: id, class: `fwb-lead-name fwb-lead-name-${lead}` },
      t(`measure.${lead}`))), h("td", {}, leads[lead]));
  };
  const table = h("table", { class: "fwb-from-to" },
    h("thead", {}, h("tr", {}, h("th", { scope: "col" }, t("measure.lead")), h("th", { scope: "col" }, t("measure.on")))),
    h("tbody", {}, leadRow("red"), leadRow("black")));
  let at;
  let alone;
  const atField = field(view, t("measure.at"), (id) => (at = chooser(view, id,
    [{ value: "", words: t("measure.across") }, ...setup.openings.map((name) => ({ value: name, words: name }))],
    (event) => view.send({ do: "meter", at: event.target.value, place: "measure" }), { "data-field": "at" })));
  const aloneField = field(view, t("measure.alone"), (id) => (alone = chooser(view, id,
    [{ value: "", words: t("measure.in_place") }, ...setup.parts.map((part) => ({ value: part, words: t("measure.in_hand", { part }) }))],
    (event) => view.send({ do: "meter", alone: event.target.value, place: "measure" }), { "data-field": "alone" })));
  let range;
  const rangeField = field(view, t("measure.range"), (id) => (range = h("select", { id, "data-field": "range",
    on: { change: (event) => view.send({ do: "range", range: event.target.value, place: "measure" }) } })));
  const switches = Object.fromEntries(["watch", "hold", "zero"].map((name) => [name, toggle(view, t(`measure.${name}`), name,
    (on) => view.send({ do: name, on, place: "measure" }))]));
  let real;
  const realField = field(view, t("measure.real_shows"), (id) => (real = h("input", { id, autocomplete: "off", "data-field": "real" })),
    t("predict.expected_hint"));
  const more = h("details", { class: "fwb-more" }, h("summary", {}, t("measure.more")),
    rangeField, switches.zero.element, aloneField,
    h("div", { role: "group", "aria-label": t("measure.real") }, h("h4", {}, t("measure.real")),
      h("div", { class: "fwb-row" }, realField, h("button", { "data-do": "real", on: { click: () => {
        view.send({ do: "real", text: real.value, place: "measure" });
        real.value = "";
      } } }, t("measure.real_note")))));
  const cautions = h("ul", { class: "fwb-cautions" });
  const warning = h("div", { role: "status", "aria-live": "polite", "data-role": "cautions" }, cautions);
  const confirm = h("button", { "data-do": "confirm", class: "fwb-confirm", on: { click: () => {
    take.focus();
    view.send({ do: "read", on: true, place: "measure" });
  } } }, t("measure.confirm"));
  const number = h("strong", { class: "fwb-number", "data-role": "number" });
  const said = h("span", { class: "fwb-said" });
  const remarks = h("ul", { class: "fwb-remarks" });
  const course = h("strong", { class: "fwb-course", "data-role": "course" });
  // What was seen on the way stands outside of what is read out: the words of its course say it.
  const along = h("ol", { class: "fwb-along", "aria-label": t("measure.along"), "data-role": "along" });
  const take = h("button", {
    class: "fwb-main", "data-do": "read", on: { click: () => view.send({ do: "read", place: "measure" }) },
  }, t("measure.take"));
  const reading = h("output", { role: "status", "aria-live": "polite", class: "fwb-reading", "data-role": "reading" },
    h("span", {}, t("measure.shows")), number, said, course, remarks);
  const element = view.section("measure",
    mode.element, table, atField, warning,
    h("div", { class: "fwb-row fwb-take" },
      take, confirm, switches.watch.element, switches.hold.element, view.goTo(".fwb-controls", ".fwb-operate", "measure.go")),
    reading, along, more);
  return {
    element,
    update(state) {
      const { meter, shown } = state;
      mode.update(meter.mode);
      for (const lead of ["red", "black"]) showValue(leads[lead], meter[lead]);
      showValue(at, meter.at);
      showValue(alone, meter.alone);
      atField.hidden = meter.mode !== "amps";
      aloneField.hidden = meter.mode === "amps";
      table.hidden = meter.mode === "amps" && meter.at !== "";
      showChildren(range, meter.ranges.join(), () => [["", t("measure.auto")], ...meter.ranges.map((name) => [name, name])]
        .map(([value, words]) => h("option", { value }, words)));
      showValue(range, meter.range);
      rangeField.hidden = !meter.ranges.length;
      switches.zero.element.hidden = !meter.has_leads;
      switches.zero.update(meter.zeroed);
      switches.hold.update(meter.held);
      switches.watch.update(meter.watching);
      showChildren(cautions, JSON.stringify(state.cautions), () => state.cautions.map((caution) =>
        h("li", { "data-level": caution.level }, h("strong", {}, `${t(`level.${caution.level}`)}: `), caution.text)));
      confirm.hidden = !state.confirm;
      number.textContent = shown ? shown.display : t("measure.nothing");
      course.textContent = shown ? shown.course : "";
      showAlong(along, shown ? shown.watched : [], h);
      number.classList.toggle("fwb-empty", !shown);
      said.textContent = shown ? shown.said : "";
      remarks.replaceChildren(...(shown ? shown.remarks : []).map((words) => h("li", {}, words)));
      // Remarks make it longer; whoever has just pressed the button is to see all of it.
      if (shown && document.activeElement === take) reading.scrollIntoView({ block: "nearest" });
    },
  };
}

const STEP = 220; // ms that each reading on the way stays, slow enough to be seen
const moving = new WeakMap();

// Go through what the meter showed on the way, once, unless the person wants nothing to move.
function showAlong(along, displays, h) {
  const key = displays.join("|");
  if (along.dataset.shown === key) return;
  showChildren(along, key, () => displays.map((display) => h("li", {}, display)));
  along.hidden = !displays.length;
  clearTimeout(moving.get(along));
  if (!displays.length || matchMedia("(prefers-reduced-motion: reduce)").matches) return;
  const step = (at) => {
    along.querySelectorAll("li").forEach((item, place) => item.classList.toggle("fwb-now-shown", place === at));
    if (at < displays.length) moving.set(along, setTimeout(() => step(at + 1), STEP));
  };
  step(0);
}

// A button that stays pressed; its mark shows it by shape.
function toggle(view, words, name, choose) {
  const { h } = view;
  const element = h("button", { "aria-pressed": "false", class: "fwb-helper", "data-toggle": name,
    on: { click: () => choose(element.getAttribute("aria-pressed") !== "true") } },
    h("span", { class: "fwb-mark", "aria-hidden": "true" }), words);
  return { element, update: (on) => element.setAttribute("aria-pressed", String(on)) };
}

function terminalInput(view, id, attributes = {}) {
  return view.h("input", { id, list: view.terminalList, autocomplete: "off", spellcheck: "false", ...attributes });
}
