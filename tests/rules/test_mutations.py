"""Every rule is named when a plan breaks it, and no other rule is blamed."""

from __future__ import annotations

import pkgutil

import pytest

from rotation import rules
from rotation.plan import Step
from rotation.rules.checked import broken
from rotation.rules.table import RULES
from tests.rules.changes import out_until, two_heats, with_under_way
from tests.rules.house import SAT, at, problem
from tests.rules.mutations import MUTATIONS, Mutation, set_at
from tests.rules.sample import plan


def test_the_plan_by_hand_keeps_every_rule() -> None:
    assert broken(problem(), plan()) == ()


def test_a_finish_at_two_heats_holds_with_hands_at_the_change() -> None:
    assert broken(*two_heats(Step("set 240", *set_at(9), "sam"))) == ()


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: f"{mutation.rule}: {mutation.label}")
def test_the_broken_rule_is_named(mutation: Mutation) -> None:
    found = broken(*mutation.make())
    assert {one.rule for one in found} == {mutation.rule} | mutation.also, "\n".join(map(str, found))
    assert all(one.where and one.why for one in found)


def test_what_is_just_in_time_or_as_it_was_decided_is_not_blamed() -> None:
    assert broken(out_until(at(SAT, 8, 35)), plan()) == ()
    assert broken(*with_under_way(fixed=plan().bakes[0].pieces)) == ()


def test_every_rule_has_a_mutation_and_a_name_of_its_own() -> None:
    names = [rule.NAME for rule in RULES]
    assert len(set(names)) == len(names)
    assert set(names) == {mutation.rule for mutation in MUTATIONS}


def test_a_rule_is_named_as_its_module_and_none_is_left_out() -> None:
    modules = {info.name for info in pkgutil.iter_modules(rules.__path__)} - {"broken", "checked", "table"}
    assert {rule.NAME for rule in RULES} == modules
