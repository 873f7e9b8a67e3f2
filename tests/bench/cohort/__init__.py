"""Bench of the response engine on synthetic clients whose truth is known."""
