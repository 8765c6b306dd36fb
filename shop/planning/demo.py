"""Demo bays, hours and people for the invented workshop."""

from __future__ import annotations

from django.contrib.auth.models import User

from .models import Person
from .usual import enter

BAYS = (("Bay 1", "bay"), ("Bay 2", "bay"), ("Lift", "lift"), ("Booth", "booth"), ("Bench", "bench"))


def make_demo_bays() -> None:
    """Make two bays, a lift, a booth and a bench, Monday to Friday; does nothing where there are some."""
    enter(BAYS, people=2)


PAINTING = ["book-in", "prep", "prime", "colour", "lacquer", "polish", "wash", "final check"]
FITTING = ["book-in", "test fit", "wheels off", "strip", "refit", "bond", "wheels on", "torque", "wash",
           "final check"]  # fmt: skip


def make_demo_people() -> None:
    """Make somebody who does everything, a painter and a fitter; does nothing where people are entered."""
    if Person.objects.exists():
        return
    Person.objects.create(name="Timo Brandt", user=User.objects.filter(username="timo").first())
    Person.objects.create(name="Lena Falk", skills=PAINTING)
    Person.objects.create(name="Ruben Adler", skills=FITTING)
