"""Outcome measures: what may be asked, how it is scored, what a change means."""
