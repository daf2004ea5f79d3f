"""The connection between page and kernel under ``faultwright lab``: small messages leave at once."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from traitlets import import_item

from faultwright.command_line.lab import environment
from faultwright_widgets.prompt_connection import PromptConnection

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_the_socket_is_told_to_wait_for_nothing_and_then_connects_as_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nagle's algorithm is off (TCP_NODELAY; RFC 9293, 3.7.4) before the first message; the rest is the server's."""
    done: list[str] = []

    class Handler:
        def set_nodelay(self, value: bool) -> None:  # noqa: FBT001 - as tornado has it
            done.append(f"nodelay {value}")

    def connect(_self: object) -> None:
        done.append("connected")

    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", connect)
    connection = PromptConnection.__new__(PromptConnection)
    monkeypatch.setattr(PromptConnection, "websocket_handler", Handler(), raising=False)
    connection.connect()
    assert done == ["nodelay True", "connected"]


def test_the_lab_names_it(tmp_path: Path) -> None:
    """The server imports what its setting names; a wrong name would leave every kernel without a connection."""
    environment(tmp_path, "token")
    setting = json.loads(
        (tmp_path / ".faultwright" / "jupyter" / "jupyter_server_config.json").read_text(encoding="utf-8")
    )
    assert import_item(setting["ServerApp"]["kernel_websocket_connection_class"]) is PromptConnection
