"""The commands of an installation: founding, doctor, token, audit, serve."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from clinic import scope, settling
from clinic.models import DeviceToken, OnCallEntry, Organization, Staff
from clinic.pairing import digest_of
from tests.cast import NOW, PASSWORD, Cast, details

ROOT = Path(__file__).resolve().parents[2]


def manage(*arguments: str, folder: Path, stdin: str = "") -> Any:
    environment = {
        "PATH": os.environ["PATH"],
        "DATA_DIR": str(folder),
        "DJANGO_SETTINGS_MODULE": "clinic.settings",
    }
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=environment,
        input=stdin,
        capture_output=True,
        text=True,
        timeout=60,
    )


@pytest.fixture(scope="module")
def installation(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh data folder with the schema in it."""
    folder = tmp_path_factory.mktemp("installation")
    assert manage("migrate", "-v0", folder=folder).returncode == 0
    return folder


def test_keys_are_made_once_and_readable_by_the_owner_only(installation: Path) -> None:
    keys = installation / "keys"
    modes = {path.name: path.stat().st_mode & 0o777 for path in keys.iterdir()}
    assert modes == {"secret_key": 0o600, "field_keys.json": 0o600}


def test_a_key_others_can_read_is_refused(tmp_path: Path) -> None:
    manage("check", folder=tmp_path)
    (tmp_path / "keys" / "secret_key").chmod(0o644)
    run = manage("check", folder=tmp_path)
    assert run.returncode != 0
    assert "chmod 600" in run.stderr


def test_a_clinic_is_founded_from_the_command_line(installation: Path) -> None:
    arguments = ["found_clinic", "--name", "Harrow Mill", "--number", "+12025550100"]
    arguments += ["--owner-name", "O", "--owner-email", "o@harrow.example"]
    run = manage(*arguments, folder=installation, stdin=PASSWORD + "\n")
    assert run.returncode == 0, run.stderr
    again = manage(*arguments, folder=installation, stdin=PASSWORD + "\n")
    assert again.returncode != 0
    assert "already" in again.stderr


def test_serve_refuses_a_database_that_is_behind(tmp_path: Path) -> None:
    run = manage("serve", "--port", "8799", folder=tmp_path)
    assert run.returncode != 0
    assert "manage.py migrate" in run.stderr


def test_serve_answers_stops_cleanly_and_runs_alone(installation: Path) -> None:
    port = 18000 + os.getpid() % 1000
    environment = {
        "PATH": os.environ["PATH"],
        "DATA_DIR": str(installation),
        "DJANGO_SETTINGS_MODULE": "clinic.settings",
    }
    server = subprocess.Popen(
        [sys.executable, "manage.py", "serve", "--port", str(port)],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        assert health(port).status == 200
        second = manage("serve", "--port", str(port + 1), folder=installation)
        assert "Another serve" in second.stderr
        server.send_signal(signal.SIGTERM)
        assert server.wait(15) == 0
    finally:
        server.kill()


def health(port: int) -> Any:
    end = time.monotonic() + 30
    while True:
        try:
            url = f"http://127.0.0.1:{port}/healthz"
            return urllib.request.urlopen(url, timeout=5)
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.05)


def test_a_token_is_printed_once_and_kept_as_a_digest(cast: Cast) -> None:
    out = StringIO()
    arguments = {"staff": "Clinician@harrow.example", "device": "tablet"}
    call_command("issue_token", **arguments, stdout=out)
    token = out.getvalue().strip()
    assert re.fullmatch(r"[\w-]{43}", token)
    with scope.within(cast.organization.id):
        row = DeviceToken.objects.get()
    assert row.digest == digest_of(token)
    assert token not in row.digest


def test_a_token_for_nobody_is_refused(cast: Cast) -> None:
    with pytest.raises(CommandError):
        call_command("issue_token", staff="nobody@example.com", device="x")


def test_the_audit_command_walks_every_organization(cast: Cast) -> None:
    out = StringIO()
    call_command("verify_audit", stdout=out)
    assert out.getvalue().count("every line holds") == 2


def test_doctor_passes_a_clinic_that_is_set_up(cast: Cast) -> None:
    settle_other(cast)
    out = StringIO()
    call_command("doctor", stdout=out)
    assert "Fit to serve." in out.getvalue()


def test_doctor_fails_a_site_with_clients_and_nobody_on_call(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        cast.client.monitoring = "active"
        cast.client.save()
        OnCallEntry.objects.filter(site=cast.site).delete()
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("doctor", stdout=out)
    assert "clinic.E012" in out.getvalue()


def test_doctor_fails_a_site_without_an_emergency_number(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        type(cast.site).objects.filter(pk=cast.site.pk).update(emergency_number="")
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("doctor", stdout=out)
    assert "clinic.E011" in out.getvalue()


def test_doctor_never_prints_a_secret(cast: Cast, settings: Any) -> None:
    out = StringIO()
    call_command("doctor", stdout=out)
    assert settings.SECRET_KEY not in out.getvalue()


def settle_other(cast: Cast) -> None:
    """The outsider's site is set up as well; doctor looks at all of them."""
    with scope.within(cast.other_organization.id):
        settling.change_site(
            cast.other_site,
            details(name="Otherton", short_name="Otherton"),
            by=cast.outsider,
            now=NOW,
        )
    assert Organization.objects.count() == 2
    assert Staff.objects.count() == 7
