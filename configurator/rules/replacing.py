"""What picking an option replaces: the present choice of a family that takes a single one.

Options are the encoding's variables; ``single`` maps each option of such a family to all its members.
"""

from pysat.solvers import MinisatGH

from .encoding import Encoding
from .sweep import open_among

Single = dict[int, list[int]]


def singles(encoding: Encoding) -> Single:
    """Return the members of every family that takes one choice (one-of, or at most 1), by each of them."""
    found: Single = {}
    for family in encoding.problem.families:
        if family.kind == "one" or (family.kind == "at_most" and family.limit == 1):
            members = [encoding.variable[option] for option in family.options]
            found |= dict.fromkeys(members, members)
    return found


def reopened(
    solver: MinisatGH, single: Single, opened: set[int], chosen: list[int], facts: set[int]
) -> set[int]:
    """Return what is open besides ``opened`` once its family's replaceable choice is set aside."""
    found: set[int] = set()
    families = {members[0]: members for v in chosen if (members := single.get(v))}
    for members in families.values():
        if not facts.intersection(chosen).isdisjoint(members):
            continue
        rest = sorted(set(chosen).difference(members))
        found.update(open_among(solver, rest, [one for one in members if one not in opened]))
    return found


def open_facts(solver: MinisatGH, single: Single, facts: set[int], stated: set[int]) -> set[int]:
    """Return the facts that are open beside the stated ones, each judged with its family's set aside."""
    by_family: dict[int, list[int]] = {}
    for fact in sorted(facts):
        by_family.setdefault(single.get(fact, [0])[0], []).append(fact)
    opened: set[int] = set()
    for members in by_family.values():
        rest = stated.difference(single.get(members[0], ()))
        opened.update(open_among(solver, sorted(rest), members))
    return opened
