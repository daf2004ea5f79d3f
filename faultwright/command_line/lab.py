"""Opening the course in JupyterLab: a calm first page, on this machine only."""

from __future__ import annotations

import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path

from faultwright.errors import Mistake, Refused
from faultwright.files import write_json

_SETTINGS = {
    "@jupyterlab/apputils-extension:notification": {
        "fetchNews": "false",
        "checkForUpdates": False,
        "doNotDisturbMode": True,
    },
    "@jupyterlab/notebook-extension:tracker": {"autoStartDefaultKernel": True, "kernelShutdown": True},
    "@jupyterlab/application-extension:shell": {"startMode": "single"},
    "@jupyterlab/statusbar-extension:plugin": {"visible": False},
}
_PAGE = {
    # Set here only: the extension beside the widgets runs a lesson on opening where it finds this word.
    "faultwrightRunOnOpening": "true",
    # What an instructor needs for grading, and what a student needs not at all.
    "disabledExtensions": dict.fromkeys(
        (
            "@jupyter/nbgrader",
            "@jupyterlab/celltags-extension",
            "@jupyterlab/debugger-extension",
            "@jupyterlab/extensionmanager-extension",
            "@jupyterlab/application-extension:property-inspector",
        ),
        True,
    ),
}
_SERVER = {
    "ServerApp": {
        "jpserver_extensions": {
            f"nbgrader.server_extensions.{name}": False
            for name in ("assignment_list", "course_list", "formgrader", "validate_assignment")
        },
        "kernel_websocket_connection_class": "faultwright_widgets.prompt_connection.PromptConnection",
    }
}
LOG = "server.log"
_WAIT = 60.0
"""Seconds that the server may take to answer; a cold start on a slow laptop takes about ten."""


def free_port() -> int:
    """Return a port of this machine that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def server_command(folder: Path, page: str, port: int, *, browser: bool) -> list[str]:
    """Return the command that serves ``folder`` and opens ``page`` of it."""
    command = [
        sys.executable, "-m", "jupyterlab", "--ip=127.0.0.1", f"--port={port}", "--ServerApp.port_retries=0",
        f"--ServerApp.root_dir={folder}", f"--LabApp.default_url=/doc/tree/{page}",
        "--LabApp.extension_manager=readonly", "--ServerApp.log_level=WARN", "--LabApp.log_level=WARN",
    ]  # fmt: skip
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    return command if browser else [*command, "--no-browser"]


def environment(folder: Path, token: str) -> dict[str, str]:
    """Return the server's environment: our calm settings first, a person's own left alone."""
    settings = folder / ".faultwright" / "jupyter"
    write_json(settings / "labconfig" / "default_setting_overrides.json", _SETTINGS)
    write_json(settings / "labconfig" / "page_config.json", _PAGE)
    write_json(settings / "jupyter_server_config.json", _SERVER)
    found = dict(os.environ)
    # The token goes by the environment: a command line can be read by everybody on the machine.
    found["JUPYTER_TOKEN"] = token
    for variable, ours in (("JUPYTER_CONFIG_PATH", settings), ("JUPYTER_PATH", extensions())):
        found[variable] = os.pathsep.join(path for path in (str(ours), found.get(variable, "")) if path)
    found["PYDEVD_DISABLE_FILE_VALIDATION"] = "1"
    return found


def extensions() -> Path:
    """Return the folder that holds our extension of JupyterLab."""
    spec = find_spec("faultwright_widgets")
    if spec is None or spec.origin is None:
        raise Refused(Mistake("the package faultwright_widgets is not installed", "lab"))
    return Path(spec.origin).parent / "jupyter"


def serve(folder: Path, page: str, *, browser: bool = True, port: int | None = None) -> int:
    """Serve the folder until it is stopped (Ctrl-C); print the address once the server answers."""
    port = port or free_port()
    token = secrets.token_hex(16)
    # A closed terminal or a stopped service ends the server too, as Ctrl-C does.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    surroundings = environment(folder, token)
    log = folder / ".faultwright" / LOG
    with log.open("wb") as messages:
        server = subprocess.Popen(  # noqa: S603 - our own interpreter, no shell
            server_command(folder, page, port, browser=browser),
            env=surroundings,
            cwd=folder,
            stdout=messages,
            stderr=subprocess.STDOUT,
        )
    try:
        _wait_until_it_answers(server, port, token, log)
        print(f"The course is open at http://127.0.0.1:{port}/doc/tree/{page}?token={token}", flush=True)  # noqa: T201
        print("Stop it with Ctrl-C.", flush=True)  # noqa: T201
        return 1 if server.wait() else 0
    except KeyboardInterrupt:
        print("Closing the course; your work is saved in its files.", flush=True)  # noqa: T201
        return 0
    finally:
        _stop(server)


def _stop(server: subprocess.Popen[bytes]) -> None:
    server.terminate()
    try:
        server.wait(10)
    except subprocess.TimeoutExpired:
        server.kill()


def _wait_until_it_answers(server: subprocess.Popen[bytes], port: int, token: str, log: Path) -> None:
    request = urllib.request.Request(f"http://127.0.0.1:{port}/api/status", headers={"Authorization": f"token {token}"})
    until = time.monotonic() + _WAIT
    while server.poll() is None and time.monotonic() < until:
        try:
            with urllib.request.urlopen(request, timeout=2) as answer:  # noqa: S310 - as above
                status: Mapping[str, object] = json.load(answer)
                if "started" in status:
                    return
        except (urllib.error.URLError, TimeoutError, ConnectionError):
            time.sleep(0.2)
    said = log.read_text(encoding="utf-8", errors="replace").strip().splitlines()[-5:]
    raise Refused(
        Mistake("\n".join([f"JupyterLab did not answer on port {port}; its last messages ({log}):", *said]), "lab")
    )
