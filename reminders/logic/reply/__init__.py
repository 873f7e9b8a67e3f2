from reminders.logic.reply.parsing import parse_reply
from reminders.logic.reply.result import Reply

__all__ = ["Reply", "parse_reply"]
