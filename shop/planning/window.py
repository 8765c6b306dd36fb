"""Some steps of a plan put anew by CP-SAT while all others stand; needs the optional ``plan`` extra."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ortools.sat.python import cp_model

from .problem import HOLDS_VEHICLE, LATE_WEIGHT, PEOPLE, Plan, Problem


def solve(problem: Problem, plan: Plan, freed: set[int], seconds: float, workers: int) -> tuple[Plan, bool]:
    """Return the best plan found in so many seconds that differs only in ``freed``; never a worse one.

    The second value says whether it is proved that none is better.
    """
    window = _Window(problem, plan, freed)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.05, seconds)
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    status = solver.solve(window.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return plan, False
    found = window.read(solver)
    better = problem.cost(found.starts) <= problem.cost(plan.starts)
    return (found if better else plan), status == cp_model.OPTIMAL


class _Window:
    """The model of the freed steps among those that stand."""

    def __init__(self, problem: Problem, plan: Plan, freed: set[int]) -> None:
        self.problem, self.plan, self.freed = problem, plan, sorted(freed)
        self.model = cp_model.CpModel()
        # A plan worth having ends no later than this one.
        self.size = min(len(problem.calendar), max(problem.ready(plan.starts).values(), default=0) + 1)
        self.starts: dict[int, Any] = {index: self._start(index) for index in self.freed}
        self.boxes = {
            index: self.model.new_fixed_size_interval_var(start, problem.steps[index].length, f"b{index}")
            for index, start in self.starts.items()
        }
        self.stands = self._near()
        self.does: dict[tuple[int, int], Any] = {}
        self._order()
        self._share()
        self._vehicles()
        self._crew()
        self.model.minimize(self._objective())

    def _end(self, index: int) -> Any:
        start = self.starts.get(index, self.plan.starts[index])
        return start + self.problem.steps[index].length

    def _start(self, index: int) -> Any:
        """One start for each step, in the slots where it may start; the present plan is the hint."""
        problem, step = self.problem, self.problem.steps[index]
        low, high = self._bounds(index)
        if step.unbroken:
            bits = problem.unbroken_starts[step.length] >> low
            allowed = [low + n for n in range(high - low + 1) if bits >> n & 1]
            domain = cp_model.Domain.from_values(allowed)
        else:
            domain = cp_model.Domain(low, high)
        start = self.model.new_int_var_from_domain(domain, f"s{index}")
        self.model.add_hint(start, self.plan.starts[index])
        return start

    def _bounds(self, index: int) -> tuple[int, int]:
        """Between its release and the horizon, after and before what stands of its own job."""
        problem, step, standing = self.problem, self.problem.steps[index], set(self.freed)
        low, high = step.release, self.size - step.length
        after_wait = problem.calendar.after_wait
        for link in problem.before[index]:
            if link.first not in standing:
                end = self.plan.starts[link.first] + problem.steps[link.first].length
                low = max(low, after_wait(end, link.wait_h) + problem.move_between(link))
        for link in problem.following[index]:
            if link.then not in standing and problem.steps[link.then].pinned is None:
                limit = self.plan.starts[link.then] - problem.move_between(link)
                while high > low and after_wait(high + step.length, link.wait_h) > limit:
                    over = after_wait(high + step.length, link.wait_h) - limit
                    high -= 1 if link.wait_h else over
        return low, max(low, high)

    def _near(self) -> list[int]:
        """The standing steps that the freed ones could meet."""
        steps, starts = self.problem.steps, self.plan.starts
        low = min(self._bounds(index)[0] for index in self.freed)
        mine = set(self.freed)
        return [
            index
            for index, start in enumerate(starts)
            if index not in mine and start + steps[index].length > low and start < self.size
        ]

    def _over(self, end: Any, wait_h: float) -> Any:
        """Return the slot at which a wait that begins at ``end`` is over: a look-up in a table."""
        if not wait_h:
            return end
        if isinstance(end, int):
            return self.problem.calendar.after_wait(end, wait_h)
        after_wait = self.problem.calendar.after_wait
        table = [after_wait(slot, wait_h) for slot in range(self.size + 1)]
        position = self.model.new_int_var(0, self.size, "")
        over = self.model.new_int_var(0, len(self.problem.calendar), "")
        self.model.add(position == end)
        self.model.add_element(position, table, over)
        return over

    def _order(self) -> None:
        known: dict[tuple[int, float], Any] = {}
        for link in self.problem.links:
            if link.first not in self.starts or link.then not in self.starts:
                continue
            key = (link.first, link.wait_h)
            if key not in known:
                known[key] = self._over(self._end(link.first), link.wait_h)
            self.model.add(self.starts[link.then] >= known[key] + self.problem.move_between(link))

    def _fixed(self, index: int) -> Any:
        return self.model.new_fixed_size_interval_var(
            self.plan.starts[index], self.problem.steps[index].length, ""
        )

    def _share(self) -> None:
        """Places of a kind and nameless hands are shared."""
        mine: dict[str, list[tuple[Any, int]]] = {}
        for index in self.freed:
            for name, amount in self.problem.shares[index]:
                mine.setdefault(name, []).append((self.boxes[index], amount))
        for index in self.stands:
            for name, amount in self.problem.shares[index]:
                if name in mine:
                    mine[name].append((self._fixed(index), amount))
        people = self.problem.calendar.people
        for name, rows in mine.items():
            room = max(people, default=0) if name == PEOPLE else self.problem.places[name]
            if name == PEOPLE:
                rows += [
                    (self.model.new_fixed_size_interval_var(begin, end - begin, ""), gone)
                    for begin, end, gone in _runs(room - n for n in people[: self.size])
                ]
            if room == 1 and all(amount == 1 for _, amount in rows):
                self.model.add_no_overlap(box for box, _ in rows)
            else:
                self.model.add_cumulative([box for box, _ in rows], [amount for _, amount in rows], room)

    def _vehicles(self) -> None:
        """One vehicle is in one place at a time, and takes a while from one kind of place to another."""
        problem = self.problem
        by_job: dict[int, list[int]] = {}
        jobs = {problem.steps[index].job for index in self.freed}
        for index, step in enumerate(problem.steps):
            if step.job in jobs and step.kind in HOLDS_VEHICLE:
                by_job.setdefault(step.job, []).append(index)
        for indices in by_job.values():
            linked = {(link.first, link.then) for index in indices for link in problem.before[index]}
            for number, one in enumerate(indices):
                for two in indices[number + 1 :]:
                    if {one, two} & set(self.starts) and not {(one, two), (two, one)} & linked:
                        self._apart(one, two)

    def _apart(self, one: int, two: int) -> None:
        steps = self.problem.steps
        move = self.problem.move if steps[one].kind != steps[two].kind else 0
        first = self.model.new_bool_var("")
        start_of = self.starts.get
        begin_one, begin_two = (start_of(i, self.plan.starts[i]) for i in (one, two))
        self.model.add(begin_two >= self._end(one) + move).only_enforce_if(first)
        self.model.add(begin_one >= self._end(two) + move).only_enforce_if(first.negated())

    def _crew(self) -> None:
        """Where people have names, one of those who can does the whole step, one thing at a time."""
        if not self.problem.crew:
            return
        busy: dict[int, list[Any]] = {}
        for index in self.freed:
            options = self.problem.able[index]
            for person in options:
                does = self.model.new_bool_var("")
                self.model.add_hint(does, self.plan.who[index] == person)
                self.does[index, person] = does
                box = self.model.new_optional_fixed_size_interval_var(
                    self.starts[index], self.problem.steps[index].length, does, ""
                )
                busy.setdefault(person, []).append(box)
            if options:
                self.model.add_exactly_one(self.does[index, person] for person in options)
        for index in self.stands:
            who = self.plan.who[index]
            if who in busy:
                busy[who].append(self._fixed(index))
        for person, boxes in busy.items():
            at_work = self.problem.crew[person].at_work
            gone = _runs(0 if at_work >> slot & 1 else 1 for slot in range(self.size))
            away = [self.model.new_fixed_size_interval_var(a, b - a, "") for a, b, _ in gone]
            self.model.add_no_overlap(boxes + away)

    def _objective(self) -> Any:
        problem = self.problem
        by_job: dict[int, list[int]] = {}
        for index, step in enumerate(problem.steps):
            by_job.setdefault(step.job, []).append(index)
        jobs = sorted({problem.steps[index].job for index in self.freed})
        if problem.makespan:
            last = self.model.new_int_var(0, len(problem.calendar), "last")
            for index in range(len(problem.steps)):
                self.model.add(last >= self._over(self._end(index), problem.tails.get(index, 0.0)))
            return last
        terms: list[Any] = []
        for job in jobs:
            ready = self.model.new_int_var(0, len(problem.calendar), f"ready{job}")
            for index in by_job[job]:
                self.model.add(ready >= self._over(self._end(index), problem.tails.get(index, 0.0)))
            terms.append(ready)
            if job in problem.due:
                late = self.model.new_int_var(0, len(problem.calendar), f"late{job}")
                self.model.add(late >= ready - problem.due[job])
                terms.append(LATE_WEIGHT * late)
        return sum(terms)

    def read(self, solver: Any) -> Plan:
        """Return the whole plan with what the solver found for the freed steps."""
        starts, who = list(self.plan.starts), list(self.plan.who)
        for index, start in self.starts.items():
            starts[index] = solver.value(start)
        for (index, person), does in self.does.items():
            if solver.value(does):
                who[index] = person
        return Plan(starts, who)


def _runs(values: Iterable[int]) -> list[tuple[int, int, int]]:
    """Return (begin, end, value) of each run of equal values that are not 0."""
    found: list[tuple[int, int, int]] = []
    begin, known, end = 0, 0, 0
    for end, value in enumerate([*values, 0]):
        if value != known:
            if known:
                found.append((begin, end, known))
            begin, known = end, value
    return found
