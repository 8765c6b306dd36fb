"""The rule engine's questions answered by trying every build: slow, short and independent of the engine.

A build is a number whose bit i says whether option i is in it; `families` and `rules` are judged on
all 2**n builds at once.
"""

from itertools import combinations

import numpy as np

from configurator.rules import Problem


class Brute:
    def __init__(self, problem: Problem) -> None:
        self.names = problem.options
        self.bit = {name: 1 << i for i, name in enumerate(self.names)}
        self.builds = np.arange(1 << len(self.names), dtype=np.int64)
        self.rule_ids = [rule.id for rule in problem.rules]
        fits = np.ones(len(self.builds), dtype=bool)
        for family in problem.families:
            count = sum((self._has(option) for option in family.options), np.zeros(len(self.builds), int))
            if family.kind == "one":
                fits &= count == 1
            elif family.kind == "at_most":
                fits &= count <= family.limit
        self.builds = self.builds[fits]
        self.holds = {rule.id: self._rule(rule) for rule in problem.rules}
        self.valid = self.builds[self._all(self.rule_ids)]

    def _has(self, option):
        return (self.builds & self.bit[option]) != 0

    def _literal(self, literal):
        return ~self._has(literal[1:]) if literal[0] == "!" else self._has(literal)

    def _rule(self, rule):
        applies = np.ones(len(self.builds), dtype=bool)
        for literal in rule.if_all:
            applies = applies & self._literal(literal)
        met = np.zeros(len(self.builds), dtype=bool)
        for literal in rule.then_any:
            met = met | self._literal(literal)
        return ~applies | met

    def _all(self, rule_ids):
        held = np.ones(len(self.builds), dtype=bool)
        for rule in rule_ids:
            held = held & self.holds[rule]
        return held

    def mask(self, options):
        return sum(self.bit[option] for option in set(options))

    def completions(self, chosen):
        mask = self.mask(chosen)
        return self.valid[(self.valid & mask) == mask]

    def consistent(self, chosen):
        return len(self.completions(chosen)) > 0

    def open(self, chosen):
        return tuple(name for name in self.names if self.consistent({*chosen, name}))

    def forced(self, chosen):
        builds = self.completions(chosen)
        always = np.bitwise_and.reduce(builds) if len(builds) else 0
        return tuple(n for n in self.names if always & self.bit[n] and n not in chosen)

    def contradicts(self, choices, rules):
        """Return whether no build that fits the families has all the choices and satisfies the rules."""
        mask = self.mask(choices)
        return not np.any(self._all(rules) & ((self.builds & mask) == mask))

    def explanations(self, chosen, base):
        """Return all (rules, choices) with fewest rules, then fewest choices, that contradict `base`."""
        for rules in range(len(self.rule_ids) + 1):
            for choices in range(len(chosen) + 1):
                found = [
                    (some, picked)
                    for picked in combinations(chosen, choices)
                    for some in combinations(self.rule_ids, rules)
                    if self.contradicts({*picked, *base}, some)
                ]
                if found:
                    return found
        return []

    def drops(self, chosen, want):
        """Return all smallest sets of choices to drop so that the rest and `want` have a valid build."""
        base = {want} if want else set()
        free = [option for option in chosen if option not in base]
        for size in range(len(free) + 1):
            found = [
                drop for drop in combinations(free, size) if self.consistent(base | (set(chosen) - set(drop)))
            ]
            if found:
                return found
        return []
