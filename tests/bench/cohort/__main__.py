"""Prints what the response engine finds, how late, and what it raises for nothing.

    python -m tests.bench.cohort [--clients 400] [--seed 1] [--svg FILE] [--texts 20]

Synthetic clients of nine kinds, the same for the same seed, through our engine and
three simple rules; then ours alone under stress. How an episode is counted stands in
`scoring`. Thresholds were chosen on even seeds; report odd ones. `--texts` sends so
many clients a kind through texts in and alerts out as well and compares the two,
alert for alert. `--smoke` is a run of seconds.
"""

import argparse
import sys
import time
from pathlib import Path

from reminders.simulation import courses
from tests.bench.cohort import picture, speed
from tests.bench.cohort.clients import DAYS, KINDS
from tests.bench.cohort.figures import (
    MIXES,
    REFERENCE,
    REPORT_SEED,
    STRESS,
    Figures,
    all_rules,
    in_a_mix,
    pooled,
    run,
    targets,
)
from tests.bench.cohort.rules import PAIN_UP, SPREADING, ours
from tests.bench.cohort.scoring import Tally

STRESSED = (
    courses.PERIPHERALIZER,
    courses.PAIN_ONLY_WORSENING,
    courses.FLUCTUATING,
    courses.PLATEAU,
    courses.FAST_IMPROVER,
    courses.SLOW_IMPROVER,
    "back_up_leg_in",
)


def main() -> None:
    """Run, print, draw."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--clients", type=int, default=100, help="clients a kind")
    parser.add_argument("--seed", type=int, default=REPORT_SEED)
    parser.add_argument("--stress", type=int, help="clients a kind under stress")
    parser.add_argument("--svg", type=Path, help="draw into this file")
    parser.add_argument("--texts", type=int, default=0, help="clients a kind by text")
    parser.add_argument("--no-speed", action="store_true")
    parser.add_argument("--smoke", action="store_true", help="few clients, seconds")
    chosen = parser.parse_args()
    if chosen.smoke:
        chosen.clients, chosen.stress, chosen.no_speed = 3, 2, True
    began = time.perf_counter()
    report(chosen)
    _line(f"{time.perf_counter() - began:.0f} s")


def report(chosen: argparse.Namespace) -> None:
    """Print every table asked for."""
    count, seed = chosen.clients, chosen.seed
    _line(f"{count} clients a kind, {DAYS} days, seed {seed}, {REFERENCE.name}")
    found = all_rules(count=count, seed=seed)
    for name, figures in found.items():
        _table(name, figures)
    few = chosen.stress or max(2, count // 4)
    rare = _stress(few, seed)
    _targets(found["ours"], rare)
    if chosen.svg:
        _draw(chosen.svg, found, count=count, seed=seed)
    if not chosen.no_speed:
        _speed()
    if chosen.texts:
        from tests.bench.cohort import texted

        for line in texted.compared(chosen.texts, seed=seed):
            _line(line)


def _table(name: str, figures: Figures) -> None:
    _line(f"\n{name}")
    head = ("found", "delay d", "chance s", "chance p", "false", "reach", "pain")
    _row("kind", *head)
    for kind in KINDS:
        _kind(kind, figures[kind])
    for mix, shares in MIXES.items():
        _row(mix, "", "", "", "", f"{in_a_mix(figures, shares):.2f}")
    _row("stable kinds together", "", "", "", "", f"{pooled(figures):.2f}")


def _kind(kind: str, tally: Tally) -> None:
    _row(
        kind,
        _share(tally.sensitivity),
        _share(tally.delay),
        _share(tally.chance_of(SPREADING)),
        _share(tally.chance_of(PAIN_UP)),
        f"{tally.false_per_100:.2f}",
        f"{tally.of_reason(SPREADING):.2f}",
        f"{tally.of_reason(PAIN_UP):.2f}",
    )


def _stress(count: int, seed: int) -> Figures:
    """Print ours under stress; return the figures of 27 % replies."""
    _line(f"\nours under stress, {count} clients a kind")
    head = ("reach", "delay d", "or silent", "pain", "chance p", "false", "swings")
    _row("world", *head)
    rare: Figures = {}
    for world in STRESS:
        figures = run(ours, STRESSED, count=count, seed=seed, world=world)
        if world.name.startswith("27 %"):
            rare = figures
        spreads, worse = figures[STRESSED[0]], figures[STRESSED[1]]
        _row(
            world.name,
            _share(spreads.sensitivity),
            _share(spreads.delay),
            _share(spreads.together),
            _share(worse.sensitivity),
            _share(figures[courses.PLATEAU].chance_of(PAIN_UP)),
            f"{pooled(figures):.2f}",
            f"{figures[courses.FLUCTUATING].false_per_100:.2f}",
        )
    return rare


def _targets(figures: Figures, rare: Figures) -> None:
    _line("\ntargets")
    for name, value, bound, met in targets(figures, rare):
        _line(f"{name:<44}{value:>8.3f}  {bound:<8}{'' if met else 'MISSED'}")


def _draw(file: Path, found: dict[str, Figures], *, count: int, seed: int) -> None:
    curve = picture.sweep(count=max(20, count // 2), seed=seed)
    names = {"ours": "ours", "one reply 2 up": "one reply 2 up"}
    names["30 % above start"] = "30 % above start"
    pain = [picture.pain_point(name, found[rule]) for rule, name in names.items()]
    reach = [
        picture.reach_point("ours, reach", found["ours"]),
        picture.reach_point("farther zone once", found["farther zone once"]),
    ]
    note = (
        f"{count} a kind, {DAYS} days, seed {seed}; line: ours over its pain threshold"
    )
    file.write_text(picture.svg(curve, pain, reach, note), encoding="utf-8")
    _line(f"\ndrawn: {file}")


def _speed() -> None:
    found = speed.measure()
    _line(
        f"\nspeed, {speed.DAYS} days of {speed.A_DAY} reports (processor time, best):"
        f" assess {found.assess_per_second:.0f}/s, with {speed.DAYS * speed.A_DAY}"
        f" reminders {found.with_reminders_per_second:.0f}/s; a report taken into"
        f" a course {found.take_ms:.4f} ms, assessed {found.take_and_assess_ms:.3f} ms"
    )


def _row(name: str, *cells: str) -> None:
    _line(f"{name:<31}" + "".join(f"{cell:>10}" for cell in cells))


def _share(value: float | None) -> str:
    return "-" if value is None else f"{value:.3f}"


def _line(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
