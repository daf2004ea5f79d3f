// Questions: an answer, often a reason, a button, and the verdict. Joined after dom.js.

let questionViews = 0;

function questionView(model, root) {
  const setup = model.get("setup");
  const uid = `fwq${(questionViews += 1)}-${Math.random().toString(36).slice(2, 8)}`;
  let ids = 0;
  const alerts = document.createElement("div");
  const view = {
    setup,
    id: () => `${uid}-${(ids += 1)}`,
    t: (key, values) => fill(setup.texts[key] ?? key, values),
    h: elementMaker((listener) => (event) => {
      try {
        return listener(event);
      } catch (error) {
        console.error(error);
        alerts.hidden = false;
        return alerts.replaceChildren(view.t("questions.failed", { message: error.message }));
      }
    }),
  };
  const { h, t } = view;
  alerts.className = "fwb-alert";
  alerts.setAttribute("role", "alert");
  const asked = setup.questions.map((question, at) => askedQuestion(view, question, at, (message) => model.send(message)));
  root.setAttribute("role", "region");
  root.setAttribute("aria-label", t("questions.label", { title: setup.title }));
  root.append(...asked.map((one) => one.element), alerts);
  return () => {
    const state = model.get("state");
    asked.forEach((one, at) => one.update(state.told[at], state.right[at]));
    alerts.hidden = !state.alerts.length;
    alerts.replaceChildren(...state.alerts.map((words) => h("p", {}, words)));
  };
}

function askedQuestion(view, question, at, send) {
  const { h, t } = view;
  const number = at + 1;
  const chosen = { choice: null, reason: null };
  const group = (label, words, key) => radioGroup(view, {
    label, name: `${key}-${at}`, choose: (value) => (chosen[key] = Number(value)),
    options: words.map((says, place) => ({ value: String(place), words: says })),
  }).element;
  const told = h("p", { role: "status", class: "fwb-done", "data-role": "told" });
  const element = h("div", { class: "fwb-section fwb-question", "data-question": String(at) },
    h("h3", {}, t("questions.number", { number })), h("p", {}, question.ask),
    group(t("questions.choices", { number }), question.choices, "choice"),
    question.reasons.length ? h("p", {}, t("questions.because")) : null,
    question.reasons.length ? group(t("questions.reasons", { number }), question.reasons, "reason") : null,
    h("button", { class: "fwb-main", "data-do": "check", on: { click: () => send({ question: at, ...chosen }) } },
      t("questions.check", { number })), told);
  return {
    element,
    update: (words, right) => {
      told.textContent = words;
      element.dataset.right = String(right);
    },
  };
}

function render({ model, el }) {
  el.classList.add("fwb-host");
  const root = document.createElement("div");
  root.className = "fwb";
  el.append(root);
  const update = questionView(model, root);
  model.on("change:state", update);
  update();
  return () => model.off("change:state", update);
}

export default { render };
