// The author view: choose a fault, put it in, and read what follows from it. Joined after dom.js.

function author(view, root, toPython) {
  const { setup, h, t } = view;
  const picker = placePicker(view, "modes", { place: t("author.place"), what: t("author.mode"), name: "author" });
  let value;
  const valueField = field(view, t("author.value"), (id) => (value = h("input", { id, autocomplete: "off", "data-field": "value" })));
  const said = h("p", { role: "status", class: "fwb-done", "data-role": "author-said" });
  const send = (message) => {
    said.textContent = t("author.working");
    results.setAttribute("aria-busy", "true");
    toPython(message);
  };
  const put = h("button", { class: "fwb-main", "data-do": "put_in", on: { click: () => {
    const named = picker.place && picker.what ? `${picker.place} ${picker.what} ${value.value}`.trim() : "";
    send({ do: "put_in", fault: named });
  } } }, t("author.put_in"));
  const take = h("button", { "data-do": "take_out", on: { click: () => send({ do: "take_out" }) } }, t("author.take_out"));
  picker.element.append(valueField, put, take);
  const results = h("div", { "data-role": "author-results" });
  root.setAttribute("aria-label", t("author.label", { title: setup.title }));
  root.append(h("h2", {}, t("author.label", { title: setup.title })), h("p", { class: "fwb-alert" }, t("author.note")),
    picker.element, view.alerts, said, results);

  return (state) => {
    said.textContent = state.fault ? t("author.in", { fault: state.fault }) : t("author.sound");
    results.removeAttribute("aria-busy");
    results.replaceChildren(...(state.fault ? consequences(view, state) : []));
  };
}

function consequences(view, state) {
  const { h, t } = view;
  const columns = ["state", "meant", "seen"].map((name) => t(`author.${name}`));
  const rows = state.rows.map((row) => h("tr", { "data-differs": String(row.differs) },
    ...[row.state, row.meant, row.seen].map((words, at) =>
      h("td", { "data-column": columns[at] }, row.differs && at === 2 ? h("strong", {}, words) : words))));
  return [
    h("h3", {}, t("author.complaint")), ...state.complaint.map((words) => h("p", {}, words)),
    h("h3", {}, t("author.states")),
    h("div", { class: "fwb-scroller", tabindex: "0", role: "group", "aria-label": t("author.states") },
      h("table", { class: "fwb-table" },
        h("thead", {}, h("tr", {}, ...columns.map((words) => h("th", { scope: "col" }, words)))), h("tbody", {}, ...rows))),
    state.left_out ? h("p", { class: "fwb-hint" }, t("author.left_out", { count: state.left_out })) : "",
    h("h3", {}, t("author.suspects", { count: state.suspects.length })), h("p", {}, state.suspects.join(", ")),
    h("p", { "data-role": "author-best" }, state.best),
    h("h3", {}, t("author.real")), ...state.real.map((words) => h("p", {}, words)),
    h("p", { class: "fwb-hint" }, t("author.bench")),
  ];
}

export default { render: regionRenderer("author.failed", author) };
