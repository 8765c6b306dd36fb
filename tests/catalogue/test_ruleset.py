"""One part stands for its like in the engine, and every answer is the same as with all of them."""

from __future__ import annotations

import random

import pytest

from configurator.catalogue import ruleset


def chosen_at_random(rng: random.Random, rules: ruleset.Ruleset) -> list[str]:
    """Return a few options and parts, at most one of a family that takes one."""
    picked = []
    for family in rules.engine.problem.families:
        single = family.kind == "one" or family.limit == 1
        number = rng.randint(0, 1 if single else 2)
        picked += rng.sample(family.options, min(number, len(family.options)))
    return picked


@pytest.mark.parametrize("code", ["haldor-2", "skarn-3", "vireo-4", "whinchat-680"])
def test_stand_ins_give_the_same_answers(catalogue, code):
    generation = catalogue.generations[code]
    whole = ruleset.build(catalogue, generation)
    folded = ruleset.build(catalogue, generation, fold=True)
    assert set(whole.names) == set(folded.names) == set(folded.alike)
    assert len(folded.engine.problem.options) < len(whole.engine.problem.options)
    rng = random.Random(code)
    for _ in range(25):
        chosen = chosen_at_random(rng, whole)
        full = whole.engine.answer(chosen)
        short = folded.engine.answer(list(dict.fromkeys(folded.alike[option] for option in chosen)))
        assert full.consistent == short.consistent
        if full.consistent:
            # Of two like parts one is chosen, which closes the other; the engine has but one of them.
            taken = {folded.alike[option] for option in chosen}
            for option in set(whole.names) - set(chosen):
                if folded.alike[option] not in taken:
                    assert (option in full.open) == (folded.alike[option] in short.open), option


def test_brought_hardware_is_the_same(catalogue):
    from configurator.rules import brought

    for generation in catalogue.generations.values():
        whole = ruleset.build(catalogue, generation)
        folded = ruleset.build(catalogue, generation, fold=True)
        rng = random.Random(generation.code)
        for _ in range(20):
            chosen = chosen_at_random(rng, whole)
            full = {bring.id for bring in brought(whole.brings, chosen)}
            short = {bring.id for bring in brought(folded.brings, [folded.alike[o] for o in chosen])}
            assert full == short
