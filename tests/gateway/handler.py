"""The REST resource of messages as the gateway's client library uses it."""

from __future__ import annotations

import base64
import json
import re
import socket
import struct
from email.utils import format_datetime
from http.server import BaseHTTPRequestHandler
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs, urlsplit

from tests.gateway.faults import TAKEN, Fault
from tests.gateway.ledger import Taken

if TYPE_CHECKING:
    from tests.gateway.server import GatewayServer

_PATH = re.compile(r"/2010-04-01/Accounts/(\w+)/Messages(?:/(\w+))?\.json")
_PAGE = "<html><head><title>Oops</title></head><body>Something broke</body></html>"


class Handler(BaseHTTPRequestHandler):
    """POST creates, GET lists or fetches; answers in the gateway's JSON."""

    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True
    server: GatewayServer

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        fields = {
            name: values[-1]
            for name, values in parse_qs(body.decode(), keep_blank_values=True).items()
        }
        if self._is_allowed():
            self._create(fields, self.server.gateway.faults.draw())

    def do_GET(self) -> None:
        if not self._is_allowed():
            return
        match = _PATH.fullmatch(urlsplit(self.path).path)
        sid = match.group(2) if match else None
        if sid is None:
            self._list()
            return
        text = self.server.gateway.ledger.one(sid)
        if text is None:
            self._problem(404, 20404, "The requested resource was not found")
        else:
            self._json(200, self._shape(text))

    def log_message(self, format: str, *args: Any) -> None:
        """Numbers and bodies stay out of the terminal."""

    def _is_allowed(self) -> bool:
        gateway = self.server.gateway
        pair = f"{gateway.account}:{gateway.token}".encode()
        wanted = "Basic " + base64.b64encode(pair).decode()
        match = _PATH.fullmatch(urlsplit(self.path).path)
        if match is None:
            self._problem(404, 20404, "The requested resource was not found")
        elif self.headers.get("Authorization") != wanted:
            self._problem(401, 20003, "Authenticate")
        elif match.group(1) != gateway.account:
            self._problem(404, 20404, "The requested resource was not found")
        else:
            return True
        return False

    def _create(self, fields: dict[str, str], fault: Fault | None) -> None:
        gateway = self.server.gateway
        if fault is not None and fault not in TAKEN:
            self._fail(fault)
            return
        refusal = gateway.ledger.refusal(fields)
        if refusal:
            self._problem(400, *refusal)
            return
        text = gateway.ledger.take(fields)
        gateway.callbacks.expect(text)
        if fault is not None:
            self._fail(fault)
        else:
            self._json(201, self._shape(text))

    def _list(self) -> None:
        query = parse_qs(urlsplit(self.path).query)
        found = self.server.gateway.ledger.list(
            to=query.get("To", [""])[0],
            sender=query.get("From", [""])[0],
            since=query.get("DateSent>", query.get("DateSent", [""]))[0],
        )
        page = {
            "messages": [self._shape(text) for text in found],
            "page": 0,
            "page_size": len(found),
            "next_page_uri": None,
            "uri": self.path,
        }
        self._json(200, page)

    def _fail(self, fault: Fault) -> None:
        match fault:
            case Fault.TOO_MANY:
                self._problem(429, 20429, "Too Many Requests", retry_after=1)
            case Fault.UNAUTHORIZED:
                self._problem(401, 20003, "Authenticate")
            case Fault.HTML_500 | Fault.HTML_500_TAKEN:
                self._send(500, _PAGE.encode(), "text/html")
            case Fault.HTML_503:
                self._send(503, _PAGE.encode(), "text/html")
            case Fault.PROBLEM:
                self._rfc_9457()
            case Fault.HANG | Fault.HANG_TAKEN:
                self.server.gateway.faults.hang()
                self.close_connection = True
            case Fault.RESET | Fault.RESET_TAKEN:
                self._reset()
            case Fault.CUT_ANSWER:
                self._send(201, b'{"sid": "SM', "application/json", claimed=400)
                self.close_connection = True
            case Fault.NOT_JSON:
                self._send(201, _PAGE.encode(), "text/html")

    def _problem(
        self, status: int, code: int, message: str, retry_after: int | None = None
    ) -> None:
        more_info = f"error {code}"
        body = {
            "code": code,
            "message": message,
            "more_info": more_info,
            "status": status,
        }
        self._json(status, body, retry_after=retry_after)

    def _rfc_9457(self) -> None:
        body = {
            "type": "about:blank",
            "title": "Service unavailable",
            "status": 503,
            "code": 20503,
            "detail": "The service is overloaded.",
        }
        self._send(503, json.dumps(body).encode(), "application/problem+json")

    def _shape(self, text: Taken) -> dict[str, Any]:
        own = text.sender.startswith("+")
        return {
            "sid": text.sid,
            "account_sid": self.server.gateway.account,
            "to": text.to,
            "from": text.sender if own else None,
            "messaging_service_sid": None if own else text.sender,
            "body": text.body,
            "status": text.status,
            "num_segments": "1" if own else "0",
            "num_media": "0",
            "direction": "outbound-api",
            "api_version": "2010-04-01",
            "date_created": format_datetime(text.at),
            "date_updated": format_datetime(text.at),
            "date_sent": None,
            "error_code": None,
            "error_message": None,
            "price": None,
            "price_unit": "USD",
            "uri": self.path,
            "subresource_uris": {},
        }

    def _json(
        self, status: int, body: dict[str, Any], *, retry_after: int | None = None
    ) -> None:
        data = json.dumps(body).encode()
        self._send(status, data, "application/json", retry_after=retry_after)

    def _send(
        self,
        status: int,
        data: bytes,
        kind: str,
        *,
        claimed: int | None = None,
        retry_after: int | None = None,
    ) -> None:
        self.send_response(status)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(claimed or len(data)))
        if retry_after is not None:
            self.send_header("Retry-After", str(retry_after))
        self.end_headers()
        self.wfile.write(data)

    def _reset(self) -> None:
        """Close with RST: the caller sees a broken connection, not an end."""
        linger = struct.pack("ii", 1, 0)
        self.connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, linger)
        self.close_connection = True
        self.connection.close()
