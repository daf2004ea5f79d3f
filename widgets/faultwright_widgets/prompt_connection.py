"""What ``faultwright lab`` tells its server to use between a page and its kernel: each message leaves at once.

A server otherwise waits with a second small message until the first is acknowledged, and the page acknowledges only
after some 40 ms: Nagle's algorithm (RFC 896) meeting delayed acknowledgements (RFC 1122, 4.2.3.2). A click would take
four times as long. The server imports this, by the name in its setting; no kernel does.
"""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's own connection, that sends small messages without waiting."""

    def connect(self) -> Any:  # noqa: ANN401 - a future; the server's two base classes type it differently
        """Connect as ever, but have the socket send at once."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
