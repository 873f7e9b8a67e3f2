"""News of this app for the apps above it.

program_changed: sent after commit with `program_id` and `organization_id` when a
program was prescribed, revised, held, paused, released or stopped. A lost signal
costs one sweep, because the planner also looks at the rows.
"""

from django.dispatch import Signal

program_changed = Signal()
