"""Pins are hashed, name no address, and meet the floors of pyproject.toml."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
FILES = ("base", "prod", "dev")
PIN = re.compile(r"^([a-z0-9._-]+)==(\S+)", re.MULTILINE | re.IGNORECASE)


def pins(name: str) -> dict[str, str]:
    text = (ROOT / "requirements" / f"{name}.txt").read_text()
    return {
        found[1].lower().replace("_", "-"): found[2] for found in PIN.finditer(text)
    }


def wanted(name: str) -> list[Requirement]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    extras = project["optional-dependencies"]
    lines = list(project["dependencies"])
    if name != "base":
        lines += extras["prod"]
    if name == "dev":
        lines += extras["dev"]
    return [Requirement(line) for line in lines]


@pytest.mark.parametrize("name", FILES)
def test_no_pin_names_an_address(name: str) -> None:
    assert "://" not in (ROOT / "requirements" / f"{name}.txt").read_text()


@pytest.mark.parametrize("name", FILES)
def test_every_pin_carries_hashes(name: str) -> None:
    text = (ROOT / "requirements" / f"{name}.txt").read_text()
    entries = re.split(r"\n(?=[a-z0-9])", text.strip(), flags=re.IGNORECASE)
    assert all("--hash=sha256:" in entry for entry in entries)


@pytest.mark.parametrize("name", FILES)
def test_pins_meet_the_floors(name: str) -> None:
    have = pins(name)
    for requirement in wanted(name):
        pinned = have[requirement.name.lower().replace("_", "-")]
        assert requirement.specifier.contains(pinned), requirement


def test_the_files_agree_on_every_version() -> None:
    base, prod, dev = (pins(name) for name in FILES)
    assert all(prod[name] == version for name, version in base.items())
    assert all(dev[name] == version for name, version in prod.items())
