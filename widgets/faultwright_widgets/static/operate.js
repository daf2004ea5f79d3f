// Operate: the machine's controls in its own words, what it does, and the other moves.

function operateSection(view) {
  const { h, t, setup } = view;
  const controls = setup.controls.map((control) => controlRow(view, control));
  const seen = h("dl", { class: "fwb-seen" });
  const notices = h("p", { class: "fwb-notices" });
  const status = h("div", { role: "status", "aria-live": "polite", class: "fwb-status", "data-role": "seen" }, seen, notices);
  const element = view.section("operate",
    h("div", { class: "fwb-controls" }, ...controls.map((control) => control.element)),
    h("h4", {}, t("operate.seen")), status,
    h("div", { class: "fwb-row" },
      noteButton(view, "operate"),
      h("button", { "data-do": "rest", on: { click: () => view.move("rest", "operate") } }, t("operate.rest")),
      view.goTo(".fwb-measure", ".fwb-predict", "operate.go")),
    otherMoves(view));
  return {
    element,
    update(state) {
      for (const control of controls) control.update(state.controls[control.name]);
      showChildren(seen, JSON.stringify(state.seen), () => state.seen.length
        ? state.seen.map((item) => h("div", { class: "fwb-seen-item", "data-behaviour": item.name },
          h("dt", {}, item.label), h("dd", {}, pictogram(item.kind, item.level), item.words)))
        : [h("div", {}, h("dt", {}, t("operate.nothing_seen")), h("dd", {}))]);
      notices.textContent = state.notices.join(". ");
    },
  };
}

// What something is seen to do, as a small picture beside its words: told by shape, and by movement where that is wanted.
const SHAPES = {
  lamp: {
    off: '<circle cx="12" cy="12" r="6"/>',
    dim: '<circle cx="12" cy="12" r="6"/><path d="M12 3v-2M12 23v-2M3 12h-2M23 12h-2"/>',
    on: '<circle cx="12" cy="12" r="6" class="fwb-full"/><path d="M12 4v-4M12 24v-4M4 12h-4M24 12h-4M6 6l-3-3M18 6l3-3M6 18l-3 3M18 18l3 3"/>',
  },
  motor: {
    off: '<circle cx="12" cy="12" r="5"/><path d="M11 12h2"/>',
    on: '<circle cx="12" cy="12" r="5"/><path d="M11 12h2"/><path class="fwb-turns" d="M12 2a10 10 0 0 1 10 10M18 9l4 3 2-4M12 22a10 10 0 0 1-10-10M6 15l-4-3-2 4"/>',
  },
  pull: {
    off: '<rect x="2" y="6" width="7" height="12"/><path d="M20 3v18"/>',
    on: '<rect x="2" y="6" width="7" height="12" class="fwb-full"/><path d="M12 3v18M24 12h-8M19 9l-3 3 3 3"/>',
  },
  magneto: {
    off: '<path d="M0 12h7M17 12h7"/>',
    on: '<path d="M0 12h7M17 12h7M13 4l-4 8h6l-4 8"/>',
  },
  input: {
    off: '<path d="M14 4h8v16h-8M2 12h5"/>',
    on: '<path d="M14 4h8v16h-8M2 12h15M12 7l5 5-5 5"/>',
  },
  other: {
    off: '<rect x="4" y="4" width="16" height="16"/>',
    on: '<rect x="4" y="4" width="16" height="16" class="fwb-full"/>',
  },
};
const PICTURES = { lamp: "lamp", motor: "motor", solenoid: "pull", relay: "pull", magneto: "magneto", input: "input" };

function pictogram(kind, level) {
  const shapes = SHAPES[PICTURES[kind] || "other"];
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const attributes = { viewBox: "-1 -1 26 26", "aria-hidden": "true", class: "fwb-pictogram", "data-level": level };
  for (const [name, value] of Object.entries(attributes)) svg.setAttribute(name, value);
  svg.innerHTML = shapes[level] || shapes.off;
  return svg;
}

function noteButton(view, place) {
  const { h, t } = view;
  return h("button", {
    class: "fwb-main", "data-do": "observe", on: { click: () => view.send({ do: "observe", place }) },
  }, t("operate.note"));
}

function controlRow(view, control) {
  const { h, t } = view;
  const id = view.id();
  const command = (position) => view.move(`${control.name}=${position}`, "operate");
  const resting = control.positions.filter((position) => !control.springing.includes(position));
  const parts = [];
  const updates = [];
  if (resting.length > 1 || !control.springing.length) {
    const group = radioGroup(view, {
      labelledby: id, name: control.name, choose: command,
      options: resting.map((position) => ({ value: position, words: position })),
    });
    parts.push(group.element);
    updates.push((position) => group.update(position));
  }
  const now = h("span", { class: "fwb-now" });
  for (const position of control.springing) {
    const holder = holdButton(view, control, position, command);
    parts.push(...holder.elements);
    updates.push(holder.update);
  }
  if (control.springing.length) {
    updates.push((position) => { now.textContent = t("operate.now", { position }); });
  }
  return {
    name: control.name,
    element: h("div", { class: "fwb-control", role: "group", "aria-labelledby": id, "data-control": control.name },
      h("div", {}, h("span", { class: "fwb-control-label", id }, control.label), now), h("div", { class: "fwb-row" }, ...parts)),
    update: (position) => updates.forEach((update) => update(position)),
  };
}

// A button that is pressed only while it is held, and a switch for a helper who keeps it so, since two hands are
// needed for the leads. The hold ends whatever happens to the pointer, the key or the window.
function holdButton(view, control, position, command) {
  const { h, t } = view;
  let held = false;
  let ignoreClick = false;
  const press = () => { if (!held) { held = true; mark(true); command(position); } };
  const release = () => { if (held) { held = false; mark(false); command(control.springs_to); } };
  const mark = (on) => button.setAttribute("aria-pressed", String(on));
  const isKey = (event) => event.key === " " || event.key === "Enter";
  const button = h("button", {
    class: "fwb-hold", "aria-pressed": "false", "data-hold": position,
    on: {
      pointerdown(event) {
        if (event.button !== 0) return;
        ignoreClick = true;
        button.setPointerCapture(event.pointerId);
        press();
      },
      pointerup: release,
      pointercancel: release,
      lostpointercapture: release,
      blur: release,
      contextmenu: (event) => event.preventDefault(),
      keydown(event) {
        if (!isKey(event)) return;
        event.preventDefault();
        if (!event.repeat) press();
      },
      keyup(event) {
        if (!isKey(event)) return;
        event.preventDefault();
        release();
      },
      // Assistive technology sends a click alone: the first presses, the next releases.
      click() {
        if (ignoreClick) ignoreClick = false;
        else if (held) release();
        else press();
      },
    },
  }, t("operate.hold", { position }));
  view.onLeave(release);
  let now = "";
  const helper = h("button", {
    "aria-pressed": "false", class: "fwb-helper", "data-helper": position,
    on: { click: () => command(now === position ? control.springs_to : position) },
  }, h("span", { class: "fwb-mark", "aria-hidden": "true" }), t("operate.helper", { position }));
  return {
    elements: [button, helper],
    update(found) {
      now = found;
      mark(held || found === position);
      helper.setAttribute("aria-pressed", String(found === position && !held));
    },
  };
}

// Everything else that a technician does to the machine: one form, and a list of what stands with its undoing.
function otherMoves(view) {
  const { h, t, setup } = view;
  const kinds = ["unplug", "lift", "substitute", "bridge", "load", "disturb"];
  let kind;
  let first;
  let second;
  const secondField = field(view, t("operate.second"), (id) => (second = terminalInput(view, id)));
  const firstField = field(view, t("operate.first"), (id) => (first = h("input", { id, autocomplete: "off", "data-field": "move-first" })));
  const lists = {
    unplug: view.list(setup.parts.map((name) => ({ name, says: "" }))),
    substitute: view.list(setup.substitutable.map((name) => ({ name, says: "" }))),
    disturb: view.list(setup.places),
  };
  const arrange = () => {
    const two = kind.value === "bridge" || kind.value === "load";
    secondField.hidden = !two;
    first.setAttribute("list", lists[kind.value] || view.terminalList);
    note.hidden = kind.value !== "bridge";
    first.value = second.value = "";
  };
  const make = () => {
    const verb = kind.value === "lift" ? "unplug" : kind.value;
    const target = second.value && !secondField.hidden ? `${first.value},${second.value}` : first.value;
    view.move(`${verb}=${target}`, "operate");
  };
  const note = h("p", { class: "fwb-hint" }, t("operate.bridge_note"));
  const form = h("div", { class: "fwb-row" },
    field(view, t("operate.kind"), (id) => (kind = chooser(view, id,
      kinds.map((name) => ({ value: name, words: t(`move.${name}`) })), () => arrange(), { "data-field": "move-kind" }))),
    firstField, secondField,
    h("button", { "data-do": "move", on: { click: make } }, t("operate.do")));
  arrange();
  // One button that takes a source off and mates it again, so that the focus has somewhere to stay.
  const isolators = setup.sources.map((part) => h("button", { "data-isolate": part, on: {
    click: (event) => view.move(`${event.target.dataset.off === "true" ? "mate" : "unplug"}=${part}`, "operate") } }));
  const list = h("ul", { class: "fwb-list", "data-role": "wiring" });
  view.onUpdate((state) => {
    for (const button of isolators) {
      const part = button.dataset.isolate;
      button.dataset.off = String(state.unplugged.includes(part));
      button.textContent = t(button.dataset.off === "true" ? "operate.isolated" : "operate.isolate", { part });
    }
    showChildren(list, JSON.stringify(state.wiring), () => state.wiring.length
      ? state.wiring.map((item) => h("li", {}, item.lamp ? pictogram("lamp", item.lamp) : null, h("strong", {}, item.words), " ",
        h("button", { on: { click: () => view.move(item.move, "operate") } }, item.undo)))
      : [h("li", {}, t("operate.as_found"))]);
  });
  return h("div", { class: "fwb-moves" }, h("div", { class: "fwb-row" }, ...isolators),
    h("details", {}, h("summary", {}, t("operate.moves")), form, note),
    view.saidBox("operate"), h("h4", {}, t("operate.wiring")), list);
}
