"""A freezer that holds more than its settings say is believed, for now."""

from __future__ import annotations

from dataclasses import replace

from rotation.intake.kitchen import holding
from rotation.intake.notes import Notes
from tests.solve.homes import home


def test_a_freezer_fuller_than_its_settings_is_as_roomy_as_it_proves_to_be() -> None:
    problem = home(days=2, breads=1, lots=2)
    tight = replace(problem.kitchen, freezer_dl=((0, 40), (1440, 30)))
    notes = Notes()
    made = holding(tight, problem.lots, problem.breads, notes)
    assert made.freezer_dl == ((0, 70), (1440, 30))  # two loaves of 35 dl; what is dated stays as it is
    assert any("7 litres" in str(note) for note in notes.all())


def test_a_freezer_with_room_stays_as_it_is() -> None:
    problem = home(days=2, breads=1, lots=2)
    assert holding(problem.kitchen, problem.lots, problem.breads, Notes()) is problem.kitchen
