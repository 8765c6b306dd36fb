"""Reading a problem: everything wrong is found at once, each beside its field."""

import pytest

from configurator.rules import Engine, Family, InputErrors, Problem, Rule, read_problem


def problem(**changes):
    whole = {
        "families": [
            {"id": "bumper", "kind": "one", "options": ["standard", "sport"]},
            {"id": "trim", "kind": "at_most", "limit": 1, "options": ["gloss", "matt"]},
        ],
        "rules": [{"id": "r", "if": ["gloss"], "then_any": ["!standard"], "reason": "Gloss needs sport"}],
        "chosen": ["gloss"],
        "want": "standard",
    }
    return whole | changes


def errors(obj):
    with pytest.raises(InputErrors) as raised:
        read_problem(obj)
    return {error["field"]: error["message"] for error in raised.value.errors}


def family(**changes):
    return problem(
        families=[{"id": "f", "kind": "any", "options": ["a"]} | changes], rules=[], chosen=[], want=None
    )


def rule(**changes):
    return problem(rules=[{"id": "r", "if": [], "then_any": ["gloss"], "reason": ""} | changes])


def test_a_good_problem_is_read_as_it_stands():
    read, chosen, want = read_problem(problem())
    assert read == Problem(
        (
            Family("bumper", "one", ("standard", "sport")),
            Family("trim", "at_most", ("gloss", "matt"), 1),
        ),
        (Rule("r", ("gloss",), ("!standard",), "Gloss needs sport"),),
    )
    assert (chosen, want) == (("gloss",), "standard")


def test_want_may_be_missing_and_other_keys_are_ignored():
    obj = problem(note="mine")
    del obj["want"]
    assert read_problem(obj)[2] is None


@pytest.mark.parametrize("key", ["families", "rules", "chosen"])
def test_a_missing_key_is_named(key):
    obj = problem(want=None, chosen=[], rules=[])
    del obj[key]
    assert errors(obj) == {key: "Is missing."}


@pytest.mark.parametrize(
    ("obj", "field"),
    [
        ([], ""),
        (problem(families={}, rules=[], chosen=[], want=None), "families"),
        (family(id=3), "families[0].id"),
        (family(id="  "), "families[0].id"),
        (family(kind="some"), "families[0].kind"),
        (family(kind=["one"]), "families[0].kind"),
        (family(kind="at_most"), "families[0].limit"),
        (family(kind="at_most", limit=-1), "families[0].limit"),
        (family(kind="at_most", limit=True), "families[0].limit"),
        (family(kind="at_most", limit=1.0), "families[0].limit"),
        (family(kind="one", limit=2), "families[0].limit"),
        (family(kind="any", limit=2), "families[0].limit"),
        (family(options="a"), "families[0].options"),
        (family(options=["a", ""]), "families[0].options[1]"),
        (family(options=["a", "!b"]), "families[0].options[1]"),
        (family(options=["a", "b", "a"]), "families[0].options[2]"),
        (family(options=["a", "\ud800"]), "families[0].options[1]"),
        (family(name=3), "families[0].name"),
        (rule(reason=None), "rules[0].reason"),
        (rule(id=""), "rules[0].id"),
        (problem(rules=[3]), "rules[0]"),
        (rule(then_any=["gloss", "neon"]), "rules[0].then_any[1]"),
        (rule(**{"if": ["!"]}), "rules[0].if[0]"),
        (rule(**{"if": ["!!gloss"]}), "rules[0].if[0]"),
        (rule(**{"if": [["gloss"]]}), "rules[0].if[0]"),
        (problem(chosen=["!gloss"]), "chosen[0]"),
        (problem(chosen=["neon"]), "chosen[0]"),
        (problem(chosen="gloss"), "chosen"),
        (problem(want=""), "want"),
        (problem(want={}), "want"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field(obj, field):
    found = errors(obj)
    assert set(found) == {field}
    assert found[field].endswith(".")


def test_an_option_in_two_families_and_ids_used_twice_are_errors():
    twice = problem()
    twice["families"] = [*twice["families"], {"id": "trim", "kind": "any", "options": ["sport"]}]
    twice["rules"] = twice["rules"] * 2
    assert errors(twice) == {
        "families[2].id": "'trim' is already used by another of the families.",
        "families[2].options[0]": "'sport' is already used by another of the options.",
        "rules[1].id": "'r' is already used by another of the rules.",
    }


def test_all_errors_are_gathered():
    obj = family(kind="at_most", options=["a", 1]) | {"chosen": ["b"], "want": "c"}
    assert set(errors(obj)) == {"families[0].limit", "families[0].options[1]", "chosen[0]", "want"}


def test_saying_the_same_twice_is_no_error():
    obj = rule(**{"if": ["gloss", "gloss"], "then_any": ["sport", "sport"]}) | {"chosen": ["gloss", "gloss"]}
    read, chosen, _ = read_problem(obj)
    assert Engine(read).answer(chosen).forced == ("sport",)


def test_a_problem_built_in_code_is_checked_too():
    with pytest.raises(InputErrors, match=r"rules\[0\].then_any\[0\]"):
        Engine(Problem((Family("f", "any", ("a",)),), (Rule("r", ("a",), ("b",), ""),)))
    with pytest.raises(InputErrors, match="already used"):
        Engine(Problem((Family("f", "any", ("a", "a")),)))


@pytest.mark.parametrize("ask", ["consistent", "answer", "page_answer", "explain", "smallest_change"])
def test_unknown_choices_are_refused_by_name(ask):
    engine = Engine(Problem((Family("f", "any", ("a",)),)))
    with pytest.raises(InputErrors) as raised:
        getattr(engine, ask)(["a", "b"])
    assert raised.value.errors == [{"field": "chosen[1]", "message": "No family has an option 'b'."}]


def test_a_family_s_name_is_read():
    assert read_problem(family(name="Front bumper"))[0].families[0].name == "Front bumper"
