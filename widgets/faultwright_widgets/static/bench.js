// The bench as one job sheet: builds the sections once, then shows each state that Python sends.

const SILENT_AFTER = 3000; // ms without an answer from the kernel after which the bench is locked
let views = 0;

function makeView(model, root) {
  const setup = model.get("setup");
  const uid = `fwb${(views += 1)}-${Math.random().toString(36).slice(2, 8)}`;
  const updates = [];
  const leaving = [];
  const drawing = [];
  const alerts = new Map();
  const saids = new Map();
  let ids = 0;
  let timer = 0;
  let locked = false;
  const lockBox = document.createElement("div");

  const view = {
    model, setup, uid, lockBox,
    id: () => `${uid}-${(ids += 1)}`,
    t: (key, values) => fill(setup.texts[key] ?? key, values),
    guard: (listener) => (event) => {
      try {
        return listener(event);
      } catch (error) {
        return view.fail(error);
      }
    },
    fail(error) {
      console.error(error);
      view.complain("bench", view.t("bench.failed", { message: error.message || String(error) }));
    },
    complain: (place, words) => showAlerts([{ place, text: words }]),
    send(message, patience = SILENT_AFTER) {
      if (locked) return;
      clearTimeout(timer);
      timer = setTimeout(() => view.lock("bench.silent"), patience);
      model.send(message);
    },
    // Without a kernel nothing pressed here would be done, so nothing can be pressed, and nothing looks as if it had been.
    lock(reason) {
      clearTimeout(timer);
      const here = root.contains(document.activeElement);
      showState(state());
      showLock(view.t(reason, { kept: view.t(setup.kept ? "bench.kept" : "bench.anew") }));
      if (here) lockBox.focus();
    },
    move: (move, place) => view.send({ do: "move", move, place }),
    onUpdate: (update) => updates.push(update),
    onLeave: (leave) => leaving.push(leave),
    onDiagram: (draw) => drawing.push(draw),
    alertBox(place) {
      const box = view.h("div", { role: "alert", class: "fwb-alert", "data-alert": place });
      box.hidden = true;
      alerts.set(place, box);
      return box;
    },
    saidBox(place) {
      const box = view.h("p", { role: "status", class: "fwb-done", "data-said": place });
      saids.set(place, box);
      return box;
    },
    section(name, ...children) {
      const heading = view.h("h3", { id: view.id() }, view.t(`${name}.heading`));
      return view.h("section", { class: `fwb-section fwb-${name}`, "aria-labelledby": heading.id, "data-section": name },
        heading, view.alertBox(name), ...children);
    },
    list(entries) {
      const list = view.h("datalist", { id: view.id() },
        ...entries.map(({ name, says }) => view.h("option", { value: name, label: says ? `${name} (${says})` : name })));
      root.append(list);
      return list.id;
    },
    // A button that brings whoever presses it to the first control of another place, with the section `top` above it.
    goTo(place, top, key) {
      return view.h("button", { "data-go": key, on: { click() {
        const target = root.querySelector(place).querySelector("[tabindex='0'], button");
        if (!target) return;
        const work = target.closest(".fwb-work");
        const section = root.querySelector(top);
        const scrolls = getComputedStyle(work).overflowY === "auto"; // on a wide sheet, see bench.css
        (scrolls ? work : section).scrollIntoView({ block: "start" });
        if (scrolls) work.scrollTop += section.getBoundingClientRect().top - work.getBoundingClientRect().top;
        target.scrollIntoView({ block: "nearest" });
        target.focus({ preventScroll: true });
      } } }, view.t(key));
    },
  };
  view.h = elementMaker(view.guard);
  lockBox.className = "fwb-alert fwb-lock";
  lockBox.setAttribute("role", "alert");
  lockBox.tabIndex = -1;
  lockBox.dataset.lmSuppressShortcuts = "true";
  lockBox.hidden = true;

  // Python sends again only the parts that have changed.
  function state() {
    return { ...model.get("state"), findings: model.get("findings"), proof: model.get("proof") };
  }
  function showLock(words) {
    locked = Boolean(words);
    lockBox.hidden = !locked;
    lockBox.textContent = words;
    for (const control of root.querySelectorAll("button, input, select, textarea")) control.disabled = locked;
  }
  function showState(state) {
    for (const update of updates) update(state);
  }

  function showAlerts(found) {
    for (const [place, box] of alerts) {
      const words = found.filter((alert) => (alerts.has(alert.place) ? alert.place : "bench") === place);
      box.hidden = !words.length;
      box.replaceChildren(...words.map((alert) => view.h("p", {}, alert.text)));
    }
  }
  view.update = view.guard(() => {
    clearTimeout(timer);
    const found = state();
    if (locked) showLock(""); // an answer, however late
    showState(found);
    showAlerts(found.alerts);
    for (const [place, box] of saids) box.textContent = found.said[place] || "";
  });
  view.draw = view.guard(() => drawing.forEach((draw) => draw()));
  view.leave = () => {
    clearTimeout(timer);
    leaving.forEach((leave) => leave());
  };
  return view;
}

function safetyNotes(view) {
  const { h, t, setup } = view;
  if (!setup.safety.length) return null;
  return h("section", { class: "fwb-safety", "aria-label": t("safety.heading") }, ...setup.safety.map((note) =>
    h("p", { class: `fwb-signal fwb-signal-${note.signal}` }, h("strong", {}, t(`signal.${note.signal}`)), note.text)));
}

function build(view, root) {
  const { h, t, setup } = view;
  view.terminalList = view.list(setup.terminals);
  const parts = [lookSection, operateSection, diagramPanel, predictSection, measureSection, findingsSection, helpingSection,
    conclusionSection, repairSection, proofSection, submitSection].map((make) => make(view));
  parts.forEach((part) => view.onUpdate(part.update));
  const [look, operate, diagram, predict, measure, ...below] = parts.map((part) => part.element);
  root.setAttribute("role", "region");
  root.setAttribute("aria-label", t("bench.label", { title: setup.title }));
  root.append(...[
    view.lockBox,
    view.alertBox("bench"),
    h("h2", {}, setup.title),
    safetyNotes(view),
    setup.complaint ? view.section("complaint", h("p", { class: "fwb-complaint-text" }, setup.complaint)) : null,
    look,
    h("div", { class: "fwb-work", role: "group", "aria-label": t("bench.work") }, operate, diagram, predict, measure),
    ...below,
  ].filter(Boolean));
}

function render({ model, el }) {
  el.classList.add("fwb-host");
  const root = document.createElement("div");
  root.className = "fwb";
  el.append(root);
  let view;
  try {
    view = makeView(model, root);
    build(view, root);
  } catch (error) {
    // Nothing to stand on yet: say it in the cell.
    root.setAttribute("role", "alert");
    root.textContent = `The bench could not be shown: ${error.message || error}`;
    throw error;
  }
  const hidden = () => { if (document.hidden) view.pause(); };
  view.pause = () => root.querySelectorAll(".fwb-hold").forEach((button) => button.dispatchEvent(new Event("blur")));
  model.on("change:state", view.update);
  model.on("change:diagram change:diagram_anew", view.draw);
  // The connection has changed, as with a restart: locked until Python, asked for the state, answers.
  const gone = view.guard(() => {
    view.lock("bench.restarted");
    model.send({ do: "look" });
  });
  model.on("comm_live_update", gone);
  window.addEventListener("blur", view.pause);
  document.addEventListener("visibilitychange", hidden);
  view.draw();
  view.update();
  return () => {
    view.leave();
    model.off("change:state", view.update);
    model.off("change:diagram change:diagram_anew", view.draw);
    model.off("comm_live_update", gone);
    window.removeEventListener("blur", view.pause);
    document.removeEventListener("visibilitychange", hidden);
  };
}

export default { render };
