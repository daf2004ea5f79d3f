// Ask the operator, and look at a place. What they say and what is seen comes from Python and goes into the findings.

function lookSection(view) {
  const { h, t, setup } = view;
  const { element: asking, update } = setup.asks.length ? askRow(view)
    : { element: h("p", { class: "fwb-hint" }, t("look.none")), update() {} };
  const places = view.list(setup.inspectable.map((name) => ({ name, says: "" })));
  let place;
  const look = () => view.send({ do: "inspect", at: place.value, place: "look" });
  const inspecting = h("div", { class: "fwb-row" },
    field(view, t("look.place"), (id) => (place = h("input", {
      id, list: places, autocomplete: "off", "data-field": "inspect",
      on: { keydown: (event) => { if (event.key === "Enter") look(); } },
    }))),
    h("button", { "data-do": "inspect", on: { click: look } }, t("look.inspect")));
  return { element: view.section("look", asking, inspecting, view.saidBox("look")), update };
}

// One question at a time; those that were asked are marked, and may be asked again.
function askRow(view) {
  const { h, t, setup } = view;
  let question;
  const element = h("div", { class: "fwb-row" },
    field(view, t("look.question"), (id) => (question = chooser(view, id,
      setup.asks.map((ask) => ({ value: ask, words: ask })), () => {}, { "data-field": "question" }))),
    h("button", { "data-do": "ask", on: { click: () => view.send({ do: "ask", question: question.value, place: "look" }) } },
      t("look.ask")));
  return {
    element,
    update(state) {
      for (const option of question.options) {
        const words = state.asked.includes(option.value) ? t("look.asked", { question: option.value }) : option.value;
        if (option.textContent !== words) option.textContent = words;
      }
    },
  };
}
