// Runs the cells of a lesson once, when it is opened, so that the bench is there without knowing Jupyter.
// Only where our own command started the server (the page's setting) and only for notebooks that ask for it
// (metadata "faultwright": {"run_on_opening": true}): nobody else's notebook is ever run unasked.
(() => {
  const name = "faultwright-opening";

  function allowed() {
    const data = document.getElementById("jupyter-config-data");
    return Boolean(data) && JSON.parse(data.textContent).faultwrightRunOnOpening === "true";
  }

  const opened = new WeakSet();

  async function runOnce(app, panel) {
    if (!panel || !panel.context || !panel.sessionContext || opened.has(panel)) return;
    opened.add(panel);
    await panel.context.ready;
    const model = panel.content && panel.content.model;
    const wish = model && model.getMetadata && model.getMetadata("faultwright");
    if (!wish || !wish.run_on_opening) return;
    await panel.sessionContext.ready;
    await panel.revealed;
    if (app.shell.currentWidget !== panel) return;
    await app.commands.execute("notebook:run-all-cells");
    // Running leaves the last cell active and in view; a lesson begins at its beginning.
    panel.content.activeCellIndex = 0;
    await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
    const list = panel.content.node.querySelector(".jp-WindowedPanel-outer") || panel.content.node;
    list.scrollTop = 0;
  }

  const plugin = {
    id: `${name}:plugin`,
    autoStart: true,
    // Waiting for app.restored inside activate would wait for ourselves: go on without waiting.
    activate: (app) => {
      if (!allowed()) return;
      app.restored.then(() => {
        const look = () => runOnce(app, app.shell.currentWidget).catch((error) => console.error(name, error));
        app.shell.currentChanged.connect(look);
        look();
      });
    },
  };

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB[name] = {
    init: () => {},
    get: async () => () => ({ __esModule: true, default: plugin }),
  };
})();
