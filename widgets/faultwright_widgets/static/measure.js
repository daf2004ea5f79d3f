// The drawn circuit, the prediction and the meter.

const SCOPE = "fwscope"; // stands in the drawing's ids until each view puts its own there
const NEAR = 16; // pixels from a terminal within which a click still means it, however small the drawing
const LEAST_SCALE = 0.65;

function diagramPanel(view) {
  const { h, t, model } = view;
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
  let leads = {};

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
    const parsed = new DOMParser().parseFromString(model.get("diagram").replaceAll(SCOPE, view.uid), "image/svg+xml");
    const svg = document.importNode(parsed.documentElement, true);
    size(svg);
    sheet.replaceChildren(svg);
    showLeads();
  }
  // The leads are marked by letter and shape as well: R in a disc, B in a square.
  function showLeads() {
    const svg = sheet.querySelector("svg");
    if (!svg) return;
    svg.querySelectorAll(".fwb-lead").forEach((mark) => mark.remove());
    const taken = [...svg.querySelectorAll("text")].map((words) => words.getBBox());
    for (const [lead, letter] of [["red", "R"], ["black", "B"]]) {
      const terminal = [...svg.querySelectorAll("[data-terminal]")].find((item) => item.dataset.terminal === leads[lead]);
      if (terminal) svg.append(leadMark(spot(terminal), terminal.dataset.terminal, lead, letter, taken));
    }
  }
  view.onDiagram(draw);
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
  const number = h("strong", { class: "fwb-number", "data-role": "number" });
  const said = h("span", { class: "fwb-said" });
  const remarks = h("ul", { class: "fwb-remarks" });
  const take = h("button", {
    class: "fwb-main", "data-do": "read", on: { click: () => view.send({ do: "read", place: "measure" }) },
  }, t("measure.take"));
  const reading = h("output", { role: "status", "aria-live": "polite", class: "fwb-reading", "data-role": "reading" },
    h("span", {}, t("measure.shows")), number, said, remarks);
  const element = view.section("measure",
    mode.element, table, atField, aloneField,
    h("div", { class: "fwb-row fwb-take" },
      take, view.goTo(".fwb-controls", ".fwb-operate", "measure.go")),
    reading);
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
      number.textContent = shown ? shown.display : t("measure.nothing");
      number.classList.toggle("fwb-empty", !shown);
      said.textContent = shown ? shown.said : "";
      remarks.replaceChildren(...(shown ? shown.remarks : []).map((words) => h("li", {}, words)));
      // Remarks make it longer; whoever has just pressed the button is to see all of it.
      if (shown && document.activeElement === take) reading.scrollIntoView({ block: "nearest" });
    },
  };
}

function terminalInput(view, id, attributes = {}) {
  return view.h("input", { id, list: view.terminalList, autocomplete: "off", spellcheck: "false", ...attributes });
}
