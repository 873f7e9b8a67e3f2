"""Prints what is misread in the train split: `python -m tests.bench.replies.misses`.

Narrow by file id prefix, class and field: `... misses ten- warn warnings`.
The kept split is never listed: it would then no longer measure.
"""

import sys

from reminders.logic.reply import parse_reply
from tests.bench.replies.rows import CLASSES, rows
from tests.bench.replies.score import differences


def main(words: list[str]) -> None:
    """One block a misread row, then how many of how many."""
    prefix = next((w for w in words if w.endswith("-")), "")
    kinds = [w for w in words if w in CLASSES] or list(CLASSES)
    only = [w for w in words if w != prefix and w not in CLASSES]
    seen = wrong = 0
    for row in rows("train"):
        if row.kind not in kinds or not row.id.startswith(prefix):
            continue
        seen += 1
        reply = parse_reply(row.text, language=row.language, asked=row.asked)
        found = differences(row, reply)
        if not found or (only and not set(only) & set(found)):
            continue
        wrong += 1
        sys.stdout.write(f"{row.id} {row.kind} asked={row.asked} {row.text!r}\n")
        for name, (want, got) in found.items():
            sys.stdout.write(f"    {name}: wanted {want!r}, read {got!r}\n")
    sys.stdout.write(f"{wrong} of {seen} rows\n")


if __name__ == "__main__":
    main(sys.argv[1:])
