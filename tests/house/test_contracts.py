"""The tools the house relies on run as tests: lint, format, types, imports."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BIN = Path(sys.executable).parent
COMMANDS = {
    "ruff finds nothing": ["ruff", "check", "."],
    "every file is formatted": ["ruff", "format", "--check", "."],
    "logic/ is typed strictly": ["mypy"],
    "imports keep their direction": ["lint-imports"],
}


@pytest.mark.parametrize("name", COMMANDS)
def test_tool(name: str) -> None:
    tool, *arguments = COMMANDS[name]
    run = subprocess.run(
        [BIN / tool, *arguments], cwd=ROOT, capture_output=True, text=True, timeout=110
    )
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-3000:]
