// Small helpers that build elements. The files of this folder are joined into one module in the order that
// bench_view.py gives, so they import nothing from each other.

const FOCUSABLE = new Set(["button", "input", "select", "textarea", "summary"]);

// Build an element. `attributes.on` holds listeners; each is guarded, so that an error is shown and not lost.
function elementMaker(guard) {
  return function h(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name === "on") {
        for (const [event, listener] of Object.entries(value)) element.addEventListener(event, guard(listener));
      } else if (value === true) {
        element.setAttribute(name, "");
      } else if (value !== false && value !== null && value !== undefined) {
        element.setAttribute(name, value);
      }
    }
    // JupyterLab's shortcuts fire while a widget has the focus, unless each focusable element says no.
    if (FOCUSABLE.has(tag) || "tabindex" in attributes) element.setAttribute("data-lm-suppress-shortcuts", "true");
    if (tag === "button" && !attributes.type) element.type = "button";
    element.append(...children.filter((child) => child !== null && child !== undefined));
    return element;
  };
}

function fill(template, values = {}) {
  return template.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));
}

// Show what Python holds, but never take away what somebody is typing.
function showValue(input, value) {
  if (document.activeElement !== input && input.value !== value) input.value = value;
}

// Replace children only where they differ, so that a screen reader announces changes and focus stays.
function showChildren(element, key, build) {
  if (element.dataset.shown === key) return;
  element.dataset.shown = key;
  const at = buttonsIn(element).indexOf(document.activeElement);
  element.replaceChildren(...build());
  if (at < 0) return;
  // The button just pressed is gone: whoever works by keyboard goes on at its successor, or else at the list.
  const next = buttonsIn(element);
  const target = next[Math.min(at, next.length - 1)] || element;
  if (target === element) {
    element.tabIndex = -1;
    element.dataset.lmSuppressShortcuts = "true";
  }
  target.focus();
}

function buttonsIn(element) {
  return [...element.querySelectorAll("button")];
}

// One choice of a few: a radio group with one tab stop; arrow keys move and choose.
function radioGroup(view, { label, labelledby, options, choose, name }) {
  const { h } = view;
  const buttons = options.map(({ value, words }) =>
    h("button", {
      role: "radio", "aria-checked": "false", tabindex: "-1", class: "fwb-choice", "data-value": value,
      on: { click: () => pick(value) },
    }, h("span", { class: "fwb-mark", "aria-hidden": "true" }), words));
  const element = h("div", {
    role: "radiogroup", class: "fwb-choices", "aria-label": label, "aria-labelledby": labelledby, "data-group": name,
    on: { keydown: onKey },
  }, ...buttons);

  function pick(value) {
    update(value);
    choose(value);
  }
  function onKey(event) {
    const at = buttons.indexOf(event.target);
    const to = { ArrowRight: at + 1, ArrowDown: at + 1, ArrowLeft: at - 1, ArrowUp: at - 1, Home: 0, End: -1 }[event.key];
    if (at < 0 || to === undefined) return;
    event.preventDefault();
    const button = buttons.at(to % buttons.length);
    button.focus();
    pick(button.dataset.value);
  }
  function update(value) {
    for (const button of buttons) {
      const checked = button.dataset.value === value;
      // An attribute that is set again costs as much as one that changes.
      if (button.getAttribute("aria-checked") !== String(checked)) button.setAttribute("aria-checked", String(checked));
      button.tabIndex = checked ? 0 : -1;
    }
    if (!buttons.some((button) => button.tabIndex === 0)) buttons[0].tabIndex = 0;
  }
  update("");
  return { element, update };
}

// A field with its label above it. `build` gets the id that ties the two together.
function field(view, label, build, hint = "") {
  const { h } = view;
  const id = view.id();
  const element = build(id);
  const note = hint ? h("span", { class: "fwb-hint", id: `${id}-hint` }, hint) : null;
  if (note) element.setAttribute("aria-describedby", note.id);
  return h("div", { class: "fwb-field" }, h("label", { for: id }, label), element, note);
}

function chooser(view, id, options, change, attributes = {}) {
  const { h } = view;
  return h("select", { id, on: { change }, ...attributes },
    ...options.map(({ value, words }) => h("option", { value }, words)));
}

// Two selects: a place, and what it can have (a fault's mode, or a remedy).
function placePicker(view, kind, labels) {
  const { h, t, setup } = view;
  const places = setup.places.filter((place) => place[kind].length);
  const blank = { value: "", words: t("choose") };
  let place;
  let what;
  const showWhat = () => {
    const found = places.find((entry) => entry.name === place.value);
    const options = [blank, ...(found ? found[kind] : []).map((word) => ({ value: word, words: word }))];
    what.replaceChildren(...options.map(({ value, words }) => h("option", { value }, words)));
  };
  const element = h("div", { class: "fwb-row" },
    field(view, labels.place, (id) => (place = chooser(view, id, [blank, ...places.map((entry) => (
      { value: entry.name, words: `${entry.name} (${entry.says})` }))], () => { showWhat(); picker.changed(); },
      { "data-field": `${labels.name}-place` }))),
    field(view, labels.what, (id) => (what = chooser(view, id, [blank], () => picker.changed(),
      { "data-field": `${labels.name}-what` }))));
  const picker = {
    element,
    changed: () => {},
    get place() { return place.value; },
    get what() { return what.value; },
    set(chosen) {
      const [name, ...rest] = chosen.split(" ");
      if (document.activeElement === place || document.activeElement === what) return;
      if (!chosen && !what.value) return; // half a choice is nothing to Python yet, and must stay
      if (place.value === name && what.value === rest.join(" ")) return;
      place.value = name;
      showWhat();
      what.value = rest.join(" ");
    },
  };
  return picker;
}

// A view of one region, for what is simpler than the bench: ids and texts of its own, elements whose errors are shown in
// `view.alerts`. `build` fills the region and returns what shows the state; `failed` is the text for an error.
let regions = 0;

function regionView(setup, failed) {
  const uid = `fwr${(regions += 1)}-${Math.random().toString(36).slice(2, 8)}`;
  let ids = 0;
  const view = {
    setup,
    id: () => `${uid}-${(ids += 1)}`,
    t: (key, values) => fill(setup.texts[key] ?? key, values),
    h: elementMaker((listener) => (event) => {
      try {
        return listener(event);
      } catch (error) {
        console.error(error);
        return view.alert([view.t(failed, { message: error.message })]);
      }
    }),
    alert: (messages) => {
      view.alerts.hidden = !messages.length;
      view.alerts.replaceChildren(...messages.map((words) => view.h("p", {}, words)));
    },
  };
  view.alerts = view.h("div", { role: "alert", class: "fwb-alert" });
  return view;
}

function regionRenderer(failed, build) {
  return ({ model, el }) => {
    el.classList.add("fwb-host");
    const root = document.createElement("div");
    root.className = "fwb";
    root.setAttribute("role", "region");
    el.append(root);
    const view = regionView(model.get("setup"), failed);
    const show = build(view, root, (message) => model.send(message));
    const update = () => {
      const state = model.get("state");
      view.alert(state.alerts);
      show(state);
    };
    model.on("change:state", update);
    update();
    return () => model.off("change:state", update);
  };
}
