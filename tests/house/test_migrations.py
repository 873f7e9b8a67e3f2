"""Migrations: none missing, each named, none importing the apps."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).resolve().parents[2]
FILES = [
    path
    for app in ("clinic", "programs", "reminders")
    for path in sorted((ROOT / app / "migrations").glob("0*.py"))
]


@pytest.mark.django_db
def test_no_model_change_lacks_its_migration() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.parametrize(
    "path", FILES, ids=lambda path: f"{path.parts[-3]}.{path.stem}"
)
def test_a_migration_has_a_name_of_its_own(path: Path) -> None:
    assert not re.search(r"_auto_|_alter_.*_and_more|_\d{8}", path.stem)


@pytest.mark.parametrize(
    "path", FILES, ids=lambda path: f"{path.parts[-3]}.{path.stem}"
)
def test_a_migration_imports_no_app_code(path: Path) -> None:
    imports = re.findall(r"^(?:from|import) (\S+)", path.read_text(), re.MULTILINE)
    assert not [name for name in imports if name.split(".")[0] in FORBIDDEN]


FORBIDDEN = ("clinic", "programs", "reminders")
