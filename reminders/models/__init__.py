"""Messages and alerts; one noun a file."""

from reminders.models.alerts import Alert, AlertEvent, DeskTask
from reminders.models.loads import ReminderLoad
from reminders.models.mails import StaffMail
from reminders.models.messages import Inbound, Outbound, OutboundEvent
from reminders.models.rereadings import Rereading

__all__ = [
    "Alert",
    "AlertEvent",
    "DeskTask",
    "Inbound",
    "Outbound",
    "OutboundEvent",
    "ReminderLoad",
    "Rereading",
    "StaffMail",
]
