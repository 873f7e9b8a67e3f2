"""Prints how well and how fast replies are read, in figures, never a row.

    python -m tests.bench.replies [--split kept] [--language es] [--naive]

`kept` is for measuring only; `train` is the split to mend by, its misreadings are
listed by `python -m tests.bench.replies.misses`. `--naive` sets the reader of an
afternoon beside ours. `--write-floors` writes the table `test_splits` holds us to.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Mapping, Sequence

from reminders.logic.reply import parse_reply
from tests.bench.replies import floors, speed
from tests.bench.replies.figures import (
    LANGUAGES,
    Figure,
    Read,
    figures,
    of_language,
    read_split,
    target,
    where_set,
)
from tests.bench.replies.naive import parse_naively
from tests.bench.replies.rows import CLASSES, SPLITS

NAME, CELL, SHORT = 32, 20, 12


def main() -> None:
    """Read the split, print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--split", choices=SPLITS, default="kept")
    parser.add_argument("--language", choices=LANGUAGES)
    parser.add_argument("--naive", action="store_true")
    parser.add_argument("--no-speed", action="store_true")
    parser.add_argument("--write-floors", action="store_true")
    chosen = parser.parse_args()
    if chosen.write_floors:
        floors.write()
        return
    columns = [chosen.language] if chosen.language else ["all", *LANGUAGES]
    found = of_language(read_split(chosen.split), columns[0])
    naive: list[Read] = []
    if chosen.naive:
        naive = of_language(read_split(chosen.split, parse_naively), columns[0])
    _print_counts(chosen.split, found)
    _print_figures(columns, found, naive)
    if not chosen.no_speed:
        _print_speed(found, with_naive=chosen.naive)


def _print_counts(split: str, found: Sequence[Read]) -> None:
    counts = Counter((each.row.language, each.row.kind) for each in found)
    _line(f"{split} split", "rows", *CLASSES)
    for language in sorted({language for language, _ in counts}):
        numbers = [counts[language, kind] for kind in CLASSES]
        _line(language, str(sum(numbers)), *map(str, numbers))
    _line("")


def _print_figures(
    columns: Sequence[str], found: Sequence[Read], naive: Sequence[Read]
) -> None:
    """Shares in percent with their 95 % interval; * marks a target that is missed."""
    by_column = {each: figures(of_language(found, each)) for each in columns}
    told = where_set(found)
    beside = figures(naive) if naive else {}
    heads = [f"{f'{each}, % (95 %)':>{CELL}}" for each in columns]
    _line("", "target", *heads, "where set", *(["naive"] if naive else []))
    for name in by_column[columns[0]]:
        cells = [_cell(name, each, by_column[each]) for each in columns]
        extra = [_short(told.get(name))]
        extra += [_short(beside[name])] if naive else []
        _line(name, _target(name, columns), *cells, *extra)
    _line("")


def _cell(name: str, language: str, named: Mapping[str, Figure]) -> str:
    figure, bar = named[name], target(name, language)
    if figure.percent is None:
        return f"{'-':>{CELL}}"
    low, high = figure.interval
    missed = "*" if bar is not None and not figure.meets(bar) else ""
    told = f"{figure.percent:.1f} ({low:.1f}-{high:.1f}){missed or ' '}"
    return f"{told:>{CELL}}"


def _target(name: str, columns: Sequence[str]) -> str:
    bars = {target(name, each): None for each in columns if each != "all"}
    told = "/".join(f"{bar:g}" for bar in bars if bar is not None)
    return told or "-"


def _short(figure: Figure | None) -> str:
    return f"{figure.percent:.1f}" if figure and figure.percent is not None else "-"


def _print_speed(found: Sequence[Read], *, with_naive: bool) -> None:
    split = [each.row for each in found]
    readers = [parse_reply, *([parse_naively] if with_naive else [])]
    speeds = [speed.measure(split, reader) for reader in readers]
    names = ["ours", "naive"][: len(speeds)]
    _line("speed, processor time", "target", *names)
    _speed_line("replies a second", f"{speed.RATE_TARGET:,}", speeds, "rate", ",.0f")
    _speed_line("import, s", str(speed.IMPORT_TARGET), speeds, "imported", ".3f")
    _speed_line("first reply, s", "-", speeds, "first_read", ".3f")
    for shape in speeds[0].long_texts:
        cells = []
        for each in speeds:
            middle, late = each.long_texts[shape]
            cells.append(f"{1000 * middle:.1f} / {1000 * late:.1f}")
        bar = f"- / {1000 * speed.LONG_TARGET:g}"
        _line(f"{speed.LONG:,} {shape}, p50/p99 ms", bar, *cells)


def _speed_line(
    name: str, bar: str, speeds: Sequence[speed.Speed], field: str, form: str
) -> None:
    _line(name, bar, *(format(getattr(each, field), form) for each in speeds))


def _line(name: str, *cells: str) -> None:
    told = "".join(f"{cell:>{SHORT}}" for cell in cells)
    sys.stdout.write(f"{name:<{NAME}}{told}".rstrip() + "\n")


if __name__ == "__main__":
    main()
