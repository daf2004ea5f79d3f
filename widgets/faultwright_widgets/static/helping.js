// Help in steps: one folded part a step, each asked for by its own button. What it gives stands below the button.

const HELP_TAKES = 60000; // ms that help may take: a worked search goes through many tests

function helpingSection(view) {
  const { h, t, setup } = view;
  if (!setup.helps) return { element: null, update() {} };
  const ask = (message) => view.send({ ...message, place: "helping" }, HELP_TAKES);
  const steps = [whyStep, statesStep, compareStep, bestStep, replayStep].map((make) => make(view, ask));
  const used = h("p", { class: "fwb-hint", "data-role": "help-used" });
  return {
    element: view.section("helping", h("p", { class: "fwb-hint" }, t("helping.note")), view.saidBox("helping"),
      ...steps.map((step) => step.element), used),
    update(state) {
      used.textContent = state.helping.used;
      for (const step of steps) step.update(state);
    },
  };
}

// A step: its name to fold out, a hint, what asks for it, and what it has given.
function helpStep(view, name, asking, show = () => []) {
  const { h, t } = view;
  const stale = h("p", { class: "fwb-done", "data-role": `stale-${name}` }, t("helping.stale"));
  const said = h("p", {});
  const given = h("div", { "data-help": name });
  const element = h("details", { "data-step": name }, h("summary", {}, t(`helping.${name}`)),
    h("p", { class: "fwb-hint" }, t(`helping.${name}_hint`)), ...asking, said, stale, given);
  return {
    element,
    update(state) {
      const found = state.helping.given[name];
      said.textContent = found ? found.said : "";
      stale.hidden = !found || !found.stale;
      showChildren(given, JSON.stringify(found ? { ...found, stale: false } : null), () => (found ? show(found) : []));
    },
  };
}

function helpLines(view, lines) {
  const { h } = view;
  return h("ul", { class: "fwb-list" }, ...lines.map((line) => h("li", {}, line)));
}

function helpButton(view, name, press) {
  return view.h("button", { "data-do": name, on: { click: press } }, view.t(`helping.${name}_do`));
}

function whyStep(view, ask) {
  const { h, t } = view;
  let choice;
  let listed = "";
  const last = { value: "", words: t("helping.why_last") };
  const chosen = field(view, t("helping.why_finding"), (id) => (choice = chooser(view, id, [last], () => {},
    { "data-field": "why" })));
  const press = () => ask(choice.value ? { do: "why", index: Number(choice.value) } : { do: "why" });
  const step = helpStep(view, "why", [h("div", { class: "fwb-row" }, chosen, helpButton(view, "why", press))],
    (found) => [helpLines(view, found.lines)]);
  return {
    element: step.element,
    update(state) {
      step.update(state);
      const rows = state.findings.filter((row) => row.citable);
      const key = rows.map((row) => row.index).join();
      if (key === listed) return;
      listed = key;
      const now = choice.value;
      choice.replaceChildren(...[last, ...rows.map((row) => (
        { value: String(row.index), words: `${row.number}: ${row.what}: ${row.shown}` }))].map(({ value, words }) =>
        h("option", { value }, words)));
      choice.value = now;
    },
  };
}

function statesStep(view, ask) {
  return helpStep(view, "states", [helpButton(view, "states", () => ask({ do: "differs" }))],
    (found) => [helpLines(view, found.lines)]);
}

function compareStep(view, ask) {
  const { h, t } = view;
  let mine = null;
  const fault = placePicker(view, "modes", { place: t("conclusion.place"), what: t("conclusion.mode"), name: "suspect" });
  const list = h("ul", { class: "fwb-list", "data-role": "suspects" });
  const change = (names) => {
    mine = names;
    showMine();
  };
  fault.element.append(h("button", { "data-do": "suspect", on: { click: () => {
    const name = `${fault.place} ${fault.what}`;
    if (!fault.place || !fault.what) view.complain("helping", t("conclusion.no_fault_named"));
    else if (!mine.includes(name)) change([...mine, name]);
  } } }, t("conclusion.add")));
  const showMine = () => showChildren(list, JSON.stringify(mine), () => (mine.length
    ? mine.map((name) => h("li", {}, h("strong", {}, name), " ", h("button", {
      "aria-label": t("helping.compare_remove", { fault: name }),
      on: { click: () => change(mine.filter((other) => other !== name)) } }, "×")))
    : [h("li", {}, t("helping.compare_none"))]));
  const step = helpStep(view, "compare", [fault.element, list,
    helpButton(view, "compare", () => ask({ do: "commit", suspects: mine }))], (found) => suspectsCompared(view, found));
  return {
    element: step.element,
    update(state) {
      const found = state.helping.given.compare;
      if (mine === null) change(found ? found.mine : []);
      step.update(state);
    },
  };
}

function suspectsCompared(view, found) {
  const { h, t } = view;
  const columns = ["suspect", "yours", "computed"];
  const words = (name) => t(`helping.column.${name}`);
  const table = h("div", { class: "fwb-scroller", tabindex: "0", role: "group", "aria-label": t("helping.compare_table") },
    h("table", { class: "fwb-table", "data-role": "compared" },
      h("thead", {}, h("tr", {}, ...columns.map((name) => h("th", { scope: "col" }, words(name))))),
      h("tbody", {}, ...found.rows.map((row) => h("tr", {}, ...columns.map((name) =>
        h("td", { "data-column": words(name) }, row[name])))))));
  const groups = found.groups.length ? [h("details", {},
    h("summary", {}, t("helping.groups", { count: found.groups.length })), helpLines(view, found.groups))] : [];
  return [...found.remarks.map((remark) => h("p", {}, remark)), table, ...groups];
}

function bestStep(view, ask) {
  return helpStep(view, "best", [helpButton(view, "best", () => ask({ do: "best" }))]);
}

function replayStep(view, ask) {
  const { h, t } = view;
  const button = helpButton(view, "replay", () => ask({ do: "replay" }));
  const words = { open: t("helping.replay_do"), ask: t("helping.replay_give_up"), confirm: t("helping.replay_confirm") };
  const sure = h("p", {}, t("helping.replay_sure"));
  const search = (heading, found) => h("div", { class: "fwb-group" }, h("h4", {}, heading), found.steps.length
    ? h("ol", { class: "fwb-list" }, ...found.steps.map((line) => h("li", {}, line)))
    : h("p", {}, t("helping.replay_empty")), h("p", {}, found.cost));
  const step = helpStep(view, "replay", [sure, button], (found) => [h("div", { class: "fwb-searches" },
    search(t("helping.replay_yours"), found.yours), search(t("helping.replay_worked"), found.worked))]);
  return {
    element: step.element,
    update(state) {
      step.update(state);
      sure.hidden = state.helping.gate !== "confirm";
      button.textContent = words[state.helping.gate];
    },
  };
}
