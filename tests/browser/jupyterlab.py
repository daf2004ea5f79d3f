"""Driving a real JupyterLab: a server with a home of its own, a notebook opened and run, its errors found."""

from __future__ import annotations

import json
import os
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.error import URLError
from urllib.request import urlopen

import nbformat

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

START_SECONDS = 90
RUN_MILLISECONDS = 120_000

_RUN_ALL = """async () => {
  const app = window.jupyterapp;
  await app.restored;
  app.shell.collapseLeft();
  const widget = app.shell.currentWidget;
  await widget.context.ready;
  await widget.sessionContext.ready;
  while (widget.sessionContext.session?.kernel?.status !== 'idle') await new Promise((done) => setTimeout(done, 50));
  await app.commands.execute('notebook:run-all-cells');
  const errors = [];
  for (const cell of widget.content.model.cells) {
    for (const output of cell.toJSON().outputs ?? []) {
      if (output.output_type === 'error') errors.push(output.ename + ': ' + output.evalue);
    }
  }
  return errors;
}"""


@dataclass(frozen=True, slots=True)
class Lab:
    """A running JupyterLab server."""

    address: str
    token: str

    def open(self, page: Page, notebook: str) -> None:
        """Open a notebook of the server's folder and wait until JupyterLab is there."""
        page.goto(f"{self.address}/lab/tree/{notebook}?token={self.token}&reset")
        page.wait_for_function("window.jupyterapp?.shell?.currentWidget?.sessionContext", timeout=RUN_MILLISECONDS)

    def run_all(self, page: Page) -> list[str]:
        """Run all cells of the open notebook and return the errors among their outputs."""
        page.set_default_timeout(RUN_MILLISECONDS)
        errors: list[str] = page.evaluate(_RUN_ALL)
        return errors


@contextmanager
def opened_page(browser: Browser, folder: Path, home: Path, cell: str) -> Iterator[Page]:
    """Serve a notebook of one cell, run it and yield its page; on the way no error of the page's may have come up."""
    write_notebook(folder / "page.ipynb", cell)
    with jupyterlab(folder, home) as lab:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        failures: list[str] = []
        page.on("pageerror", lambda error: failures.append(str(error)))
        lab.open(page, "page.ipynb")
        assert lab.run_all(page) == []
        page.set_default_timeout(15_000)
        page.locator(".fwb").first.wait_for()
        yield page
        page.close()
        assert failures == []


def write_notebook(path: Path, *cells: str) -> None:
    """Write a notebook with these code cells."""
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    path.write_text(nbformat.writes(notebook), encoding="utf-8")


@contextmanager
def jupyterlab(folder: Path, home: Path) -> Iterator[Lab]:
    """Serve ``folder`` in JupyterLab, with every setting and cache under ``home``, and end it afterwards."""
    port, token = _free_port(), secrets.token_hex(16)
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        "--no-browser",
        "--ip=127.0.0.1",
        f"--port={port}",
        "--ServerApp.port_retries=0",
        "--allow-root",
        f"--IdentityProvider.token={token}",
        f"--ServerApp.root_dir={folder}",
        "--LabApp.expose_app_in_browser=True",
        "--LabApp.extension_manager=readonly",
    ]
    log_file = home / "server.log"
    with log_file.open("wb") as log:
        server = subprocess.Popen(
            command, env=_own_places(home), stdin=subprocess.DEVNULL, stdout=log, stderr=log, cwd=folder
        )
        try:
            lab = Lab(f"http://127.0.0.1:{port}", token)
            _wait_until_up(lab, server, log_file)
            yield lab
        finally:
            server.terminate()
            try:
                server.wait(timeout=20)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


def _own_places(home: Path) -> dict[str, str]:
    """Return an environment in which Jupyter and Python write nothing outside ``home``."""
    _be_calm(home)
    return os.environ | {
        "HOME": str(home),
        "USERPROFILE": str(home),
        "IPYTHONDIR": str(home / "ipython"),
        "MPLCONFIGDIR": str(home / "matplotlib"),
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_CONFIG_PATH": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
    }


def _be_calm(home: Path) -> None:
    """No news, no look for updates: nothing that covers a page or calls out."""
    calm = {
        "@jupyterlab/apputils-extension:notification": {
            "fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True,
        }
    }  # fmt: skip
    settings = home / "config" / "labconfig" / "default_setting_overrides.json"
    settings.parent.mkdir(parents=True, exist_ok=True)
    settings.write_text(json.dumps(calm), encoding="utf-8")


def _wait_until_up(lab: Lab, server: subprocess.Popen[bytes], log_file: Path) -> None:
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end:
        if server.poll() is not None:
            break
        try:
            with urlopen(f"{lab.address}/api/status?token={lab.token}", timeout=5):  # noqa: S310 - our own server
                return
        except (URLError, OSError):
            time.sleep(0.1)
    raise RuntimeError("JupyterLab did not start:\n" + log_file.read_text(encoding="utf-8", errors="replace")[-4000:])
