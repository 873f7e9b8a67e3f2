"""News inside the reminders app.

text_waiting: sent after the commit that added a text which is due; a hint only, the
sweep finds the row anyway.
mail_waiting: the same for a mail to staff.
client_confirmed: sent with `client` when a client answered the first text: their
program is planned from that commit on.
"""

from django.dispatch import Signal

text_waiting = Signal()
mail_waiting = Signal()
client_confirmed = Signal()
