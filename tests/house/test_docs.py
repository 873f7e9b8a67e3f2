"""README and DEVELOPERS name only what exists, and every variable is in the README."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from clinic import env

ROOT = Path(__file__).resolve().parents[2]
DOCS = ("README.md", "DEVELOPERS.md")
NAMED = re.compile(
    r"`((?:clinic|programs|reminders|tests|fixtures|requirements|\.ci)/[\w./-]*)`"
)


@pytest.mark.parametrize("name", DOCS)
def test_every_path_named_exists(name: str) -> None:
    named = NAMED.findall((ROOT / name).read_text())
    assert named
    missing = [path for path in named if not (ROOT / path).exists()]
    assert missing == []


@pytest.mark.parametrize("variable", env.TABLE, ids=lambda variable: variable.name)
def test_the_readme_lists_every_variable_with_its_meaning(
    variable: env.Variable,
) -> None:
    row = next(
        line
        for line in (ROOT / "README.md").read_text().splitlines()
        if line.startswith(f"| `{variable.name}` ")
    )
    assert variable.help in row


def test_only_the_table_reads_the_environment() -> None:
    readers = [
        path.relative_to(ROOT).as_posix()
        for app in ("clinic", "programs", "reminders")
        for path in (ROOT / app).rglob("*.py")
        if re.search(r"os\.environ\b|os\.getenv", path.read_text())
    ]
    allowed = {
        "clinic/env.py",
        "clinic/wsgi.py",  # names the settings module
        "clinic/worker.py",  # the same
        "reminders/management/commands/demo.py",  # starts itself anew in demo mode
    }
    assert set(readers) <= allowed
