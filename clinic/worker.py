"""The Celery application: wake-ups only, the rows are the truth.

Upper apps name their periodic work in `TIMETABLE` by task name, so that this file
imports nothing of theirs.
"""

from __future__ import annotations

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clinic.settings")

TIMETABLE = {
    "plan": {"task": "reminders.plan", "schedule": 300.0},
    "send": {"task": "reminders.send", "schedule": 5.0},
    "mail": {"task": "reminders.mail", "schedule": 15.0},
    "sweep": {"task": "reminders.sweep", "schedule": 20.0},
    "watch": {"task": "reminders.watch", "schedule": 60.0},
}

app = Celery("plumbline")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
app.conf.beat_schedule = TIMETABLE
