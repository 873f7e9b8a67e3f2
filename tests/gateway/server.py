"""The gateway of our own on loopback: start it, send to it, read its ledger."""

from __future__ import annotations

import sys
import threading
from dataclasses import dataclass, field
from http.server import ThreadingHTTPServer
from pathlib import Path
from types import TracebackType
from typing import Any

from tests.gateway.callbacks import CallbackPlan, Callbacks
from tests.gateway.faults import Faults
from tests.gateway.handler import Handler
from tests.gateway.ledger import Ledger

ACCOUNT = "AC" + "0" * 31 + "1"
TOKEN = "a-token-of-the-loopback-gateway"


class GatewayServer(ThreadingHTTPServer):
    """One thread a connection; knows the gateway its handlers speak for."""

    daemon_threads = True
    request_queue_size = 64

    def __init__(self, address: tuple[str, int], gateway: Gateway) -> None:
        self.gateway = gateway
        super().__init__(address, Handler)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A caller that gave up is part of the game; anything else is shown."""
        if not isinstance(sys.exc_info()[1], OSError | ValueError):
            super().handle_error(request, client_address)


@dataclass
class Gateway:
    """Ledger, faults and callbacks behind one loopback address.

    As a context manager it serves on a free port; `background=True` also sends
    callbacks as they come, otherwise the test calls `callbacks.pump`.
    """

    account: str = ACCOUNT
    token: str = TOKEN
    port: int = 0
    callback_base: str = ""
    log: Path | None = None
    background: bool = False
    plan: CallbackPlan = field(default_factory=CallbackPlan)
    faults: Faults = field(default_factory=Faults)

    def __post_init__(self) -> None:
        self.ledger = Ledger(self.log)
        self.callbacks = Callbacks(
            self.account, self.token, self.callback_base, self.plan
        )
        self._stopping = threading.Event()
        self._server: GatewayServer | None = None

    @property
    def base(self) -> str:
        """The base address for the client library."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> Gateway:
        """Serve in threads; returns at once with the port known."""
        self._server = GatewayServer(("127.0.0.1", self.port), self)
        self.port = self._server.server_address[1]
        bodies: list[Any] = [lambda: self._serve()]
        if self.background:
            bodies.append(lambda: self.callbacks.run(self._stopping))
        for body in bodies:
            threading.Thread(target=body, daemon=True).start()
        return self

    def stop(self) -> None:
        """Stop answering: from here on connections are refused."""
        self._stopping.set()
        self.faults.released.set()
        if self._server is not None:
            self._server.shutdown()
            self._server.server_close()

    def __enter__(self) -> Gateway:
        return self.start()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def _serve(self) -> None:
        assert self._server is not None
        self._server.serve_forever(poll_interval=0.05)
