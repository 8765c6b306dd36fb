"""Speed of the rule engine beside other ways of asking, all in one run.

    python -m tests.benchmarks.rules.bench [--quick] [--maxsat]

prints a table for each shape of rule set at 300 options, 40 families, 400 rules and 10 choices, one for
3,000 options, the growth from 100 to 10,000, and hopeless selections at 14,000. Read the ratios: the
absolute times are this machine's.
Times are of the processor, for CP-SAT (which may use several threads) of the clock on the wall.
All ways must agree on what is open, else the run stops.
"""

import math
import random
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from configurator.rules import Engine

from .others import CpSat, MaxSat, OncePerOption, OncePerOptionKeepingPhases, propagation_only
from .rule_sets import SHAPES, RuleSet, rule_set

CHOICES = 10


@dataclass(frozen=True)
class Timing:
    """Times of many questions, in ms."""

    times: list[float]

    @property
    def median(self) -> float:
        return statistics.median(self.times)

    @property
    def p95(self) -> float:
        return sorted(self.times)[math.ceil(0.95 * len(self.times)) - 1]

    def __str__(self) -> str:
        return f"{self.median:9.3f} ({self.p95:9.3f})"


def timed(
    ask: Callable[..., Any], *args: Any, clock: Callable[[], float] = time.thread_time
) -> tuple[Any, float]:
    """Return the answer and the ms it took: of this thread's processor time unless told another clock.

    Processor time, so that what else runs on the machine counts less.
    """
    start = clock()
    result = ask(*args)
    return result, (clock() - start) * 1000


@dataclass
class Measured:
    """One shape's timings; `ratio` compares medians of the same questions."""

    shape: str
    size: str
    engine: Timing
    page: Timing
    why: Timing
    change: Timing
    once: Timing
    cp_sat: Timing | None
    cp_sat_one_worker: Timing | None
    missed_by_propagation: int
    closed: int

    def rows(self) -> list[str]:
        ours = self.engine.median
        rows = [
            f"{self.shape}: {self.size}; {CHOICES} choices; ms, median (95th percentile)",
            f"  all open, closed, forced   {self.engine}",
            f"  the same for a page        {self.page}",
            f"  once per option            {self.once}   x {self.once.median / ours:8.1f}",
        ]
        for name, timing in (("CP-SAT untuned", self.cp_sat), ("CP-SAT, one worker", self.cp_sat_one_worker)):
            if timing:
                rows.append(f"  {name:26s} {timing}   x {timing.median / ours:8.1f}")
        return [
            *rows,
            f"  why one option is closed   {self.why}",
            f"  smallest change            {self.change}",
            f"  closed options that propagation alone misses: {self.missed_by_propagation} of {self.closed}",
        ]


def measure(rule_sets: list[RuleSet], selections: int, cp_sat: int = 0) -> Measured:
    """Ask all ways the same; `cp_sat` says for how many selections in all CP-SAT is asked too."""
    times: dict[str, list[float]] = {k: [] for k in ("engine", "page", "why", "change", "once", "cp", "cp1")}
    missed = closed = 0
    rng = random.Random(1)
    for rules in rule_sets:
        engine = Engine(rules.problem)
        baselines = [OncePerOption(rules.problem), OncePerOptionKeepingPhases(rules.problem)]
        warm = rules.selections(1, CHOICES, seed=99)
        for chosen in warm:
            engine.answer(chosen)
            engine.explain(chosen, next(iter(engine.answer(chosen).closed), None))
            for baseline in baselines:
                baseline.open(chosen)
        for chosen in rules.selections(selections, CHOICES):
            answer, took = timed(engine.answer, chosen)
            times["engine"].append(took)
            times["page"].append(timed(engine.page_answer, chosen)[1])
            asked = [timed(baseline.open, chosen) for baseline in baselines]
            times["once"].append(min(took for _, took in asked))
            assert all(found == set(answer.open) for found, _ in asked), "the ways differ"
            closed += len(answer.closed)
            missed += len(propagation_only(rules.problem, chosen) - set(answer.open))
            for want in rng.sample(answer.closed, min(8, len(answer.closed))):
                times["why"].append(timed(engine.explain, chosen, want)[1])
                times["change"].append(timed(engine.smallest_change, chosen, want)[1])
            if len(times["cp"]) < cp_sat:
                for key, workers in (("cp", 0), ("cp1", 1)):
                    found, took = timed(CpSat(rules.problem, workers).open, chosen, clock=time.perf_counter)
                    times[key].append(took)
                    assert found == set(answer.open), "CP-SAT differs"
    problem = rule_sets[0].problem
    size = f"{len(problem.options)} options, {len(problem.families)} families, {len(problem.rules)} rules"
    t = {key: Timing(value) for key, value in times.items()}
    cp, cp1 = (t["cp"], t["cp1"]) if times["cp"] else (None, None)
    return Measured(
        rule_sets[0].shape,
        size,
        t["engine"],
        t["page"],
        t["why"],
        t["change"],
        t["once"],
        cp,
        cp1,
        missed,
        closed,
    )


def growth(shape: str, sizes: list[int], selections: int) -> list[str]:
    """Return the table of growth, families and rules growing with the options."""
    rows = [
        f"growth, {shape}: n options, 2n/15 families, 4n/3 rules, {CHOICES} choices; ms, medians",
        "  options   built   all open   once per option   ratio     page      why   change",
    ]
    for n in sizes:
        rules = rule_set(shape, n, n * 2 // 15, n * 4 // 3)
        _, built = timed(Engine, rules.problem)
        found = measure([rules], selections)
        rows.append(
            f"  {n:7d} {built:7.1f} {found.engine.median:10.3f} {found.once.median:17.3f}"
            f" {found.once.median / found.engine.median:7.1f} {found.page.median:8.2f}"
            f" {found.why.median:8.3f} {found.change.median:8.3f}"
        )
    return rows


def hopeless(shape: str, options: int = 14_000, choices: int = 150, seed: int = 1) -> list[str]:
    """Return how long a selection that contradicts much of a large rule set takes, beside ordinary ones.

    "MaxSAT alone" is the library's solver asked for the smallest change without a limit.
    """
    rows = [f"hopeless, {shape}: {options} options, {choices} choices; ms, and times the ordinary answer"]
    for families, rules in ((options * 2 // 15, options * 4 // 3), (options // 2, options * 4)):
        made = rule_set(shape, options, families, rules)
        engine, rng = Engine(made.problem), random.Random(seed)
        chosen = [rng.choice(f.options) for f in rng.sample(made.problem.families, choices) if f.options]
        engine.consistent(chosen)
        ordinary = Timing([timed(engine.answer, some)[1] for some in made.selections(3, CHOICES)])
        answer, whole = timed(engine.answer, chosen)
        page, shown = timed(engine.page_answer, chosen)
        assert not answer.consistent
        assert not page.consistent
        rows.append(
            f"  {rules:6d} rules: ordinary {ordinary.median:8.1f}, hopeless {whole:8.1f}"
            f" (x {whole / ordinary.median:5.1f}), for a page {shown:8.1f}"
            f" (x {shown / ordinary.median:5.1f});"
            f" reason {'proved' if answer.why.fewest_rules else 'cut off'},"
            f" change of {len(answer.change.drop)} {'proved' if answer.change.smallest else 'cut off'}"
        )
        if "--maxsat" in sys.argv:
            drop, alone = timed(MaxSat(made.problem).smallest_drop, chosen)
            rows.append(f"      MaxSAT alone {alone:8.1f} (x {alone / ordinary.median:5.1f}), {drop}")
    return rows


def at_300(quick: bool = False) -> list[Measured]:
    seeds = range(2 if quick else 5)
    return [
        measure([rule_set(shape, seed=seed) for seed in seeds], 4 if quick else 12, 1 if quick else 3)
        for shape in SHAPES
    ]


def at_3000(quick: bool = False) -> list[Measured]:
    return [measure([rule_set(shape, 3000, 400, 4000)], 2 if quick else 5) for shape in SHAPES]


def main() -> None:
    quick = "--quick" in sys.argv
    for found in [*at_300(quick), *at_3000(quick)]:
        print("\n".join(found.rows()), flush=True)
    sizes = [100, 300, 1000] if quick else [100, 300, 1000, 3000, 10000]
    for shape in SHAPES:
        print("\n".join(growth(shape, sizes, 2)), flush=True)
    for shape in SHAPES:
        print("\n".join(hopeless(shape)), flush=True)


if __name__ == "__main__":
    main()
