"""Settings of the test runs: a data folder of their own, quick password hashing.

DATABASE_URL and REDIS_URL pass through: the same tests run on PostgreSQL and Redis.
"""

import os
import tempfile

_folder = os.environ.get("PLUMBLINE_TEST_DIR") or tempfile.mkdtemp(prefix="plumbline-")
os.environ["PLUMBLINE_TEST_DIR"] = _folder
os.environ["DATA_DIR"] = _folder
os.environ.setdefault("SMS_GATEWAY", "console")
os.environ["LOG_LEVEL"] = "ERROR"

from clinic.settings import *  # noqa: E402, F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
SMS_GATEWAY = os.environ["SMS_GATEWAY"]
DEMO = False
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
if "sqlite" in DATABASES["default"]["ENGINE"]:  # noqa: F405
    # A file, not memory: threads and worker processes of a test meet in one database.
    DATABASES["default"]["TEST"] = {"NAME": f"{_folder}/test.sqlite3"}  # noqa: F405
if REDIS_URL:  # noqa: F405
    # Clearing a Redis cache empties its whole database: a database of its own for each
    # worker process keeps that from the others' throttles and from the broker.
    _worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0")[2:]) % 6
    CACHES["default"]["LOCATION"] = f"{REDIS_URL.rsplit('/', 1)[0]}/{10 + _worker}"  # noqa: F405
