"""Run the loopback gateway by hand: python -m tests.gateway --port 9100."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from tests.gateway.callbacks import CallbackPlan
from tests.gateway.faults import Fault, Faults
from tests.gateway.server import ACCOUNT, TOKEN, Gateway


def main(arguments: list[str] | None = None) -> None:
    """Serve until Ctrl+C; lines on standard input `FROM TO BODY` come in as texts."""
    asked = _parser().parse_args(arguments)
    plan = CallbackPlan(
        order=tuple(asked.order.split(",")) if asked.order else (),
        copies=asked.copies,
        lost=asked.lost,
        delay=asked.delay,
        shuffle=asked.shuffle,
        seed=asked.seed,
        error_code=asked.error_code,
    )
    gateway = Gateway(
        account=asked.account,
        token=asked.token,
        port=asked.port,
        callback_base=asked.callback_base,
        log=asked.log,
        background=True,
        plan=plan,
        faults=Faults(dict(asked.fault), asked.seed),
    )
    with gateway:
        print(f"TWILIO_API_BASE={gateway.base}")
        print(f"TWILIO_ACCOUNT_SID={gateway.account}")
        print(f"TWILIO_AUTH_TOKEN={gateway.token}", flush=True)
        try:
            _take_lines(gateway, asked.inbound)
        except KeyboardInterrupt:
            print(f"{len(gateway.ledger.taken)} texts taken.")


def _take_lines(gateway: Gateway, url: str) -> None:
    for line in sys.stdin:
        sender, to, body = line.rstrip("\n").split(" ", 2)
        status = gateway.callbacks.inbound(url, sender, to, body)
        print(f"inbound answered {status}", flush=True)
    while True:
        time.sleep(3600)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.gateway")
    parser.add_argument("--port", type=int, default=9100)
    parser.add_argument("--account", default=ACCOUNT)
    parser.add_argument("--token", default=TOKEN)
    parser.add_argument(
        "--callback-base",
        default="",
        help="where callbacks are posted when PUBLIC_URL is not reachable from here",
    )
    parser.add_argument(
        "--inbound",
        default="http://127.0.0.1:8000/sms/inbound",
        help="PUBLIC_URL/sms/inbound, for lines typed as FROM TO BODY",
    )
    parser.add_argument("--order", default="sent,delivered")
    parser.add_argument("--copies", type=int, default=1)
    parser.add_argument("--lost", type=float, default=0.0)
    parser.add_argument("--delay", type=float, default=0.0, help="seconds")
    parser.add_argument("--shuffle", action="store_true")
    parser.add_argument("--error-code", default="")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--log", type=Path, help="accept log, one JSON line a text")
    parser.add_argument(
        "--fault",
        type=_fault,
        action="append",
        default=[],
        metavar="NAME=RATE",
        help=f"one of {', '.join(Fault)} and its share, such as too_many=0.2",
    )
    return parser


def _fault(text: str) -> tuple[Fault, float]:
    name, _, rate = text.partition("=")
    return Fault(name), float(rate)


if __name__ == "__main__":
    main()
