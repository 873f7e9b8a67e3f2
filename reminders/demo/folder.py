"""The demo's data folder: made by the demo, rebuilt by the demo, nobody else's."""

from __future__ import annotations

import shutil
import socket
from pathlib import Path

from clinic.guards import single_instance

MARKER = "made_by_the_demo"
_WORDS = "Made by `manage.py demo`, which deletes and rebuilds this folder.\n"


class DemoRefused(Exception):
    """The demo does not start; the words say what to do."""


def rebuilt(folder: Path) -> Path:
    """The folder, empty but for its marker; raises DemoRefused for a foreign one."""
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise DemoRefused(f"{folder} is not a plain folder: move it away first.")
    if folder.exists():
        if any(folder.iterdir()) and not is_ours(folder):
            raise DemoRefused(
                f"{folder} holds files the demo did not make, so it is left alone:"
                " move it away, or set DATA_DIR to another place."
            )
        if any(folder.iterdir()):
            single_instance(folder).close()  # refuses while a demo serves from it
        shutil.rmtree(folder)
    folder.mkdir(parents=True, mode=0o700)
    (folder / MARKER).write_text(_WORDS)
    return folder


def is_ours(folder: Path) -> bool:
    """Whether the demo made the folder."""
    return (folder / MARKER).is_file()


def refuse_taken_port(port: int) -> None:
    """Say so before a minute of building, not after it."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise DemoRefused(
                f"Port {port} is taken: stop what uses it, or give --port."
            ) from error
