"""Pieces and free evenings at random, for the planner: the family on which its way of searching was chosen."""

import random
from math import exp

from app.bench.rules import Job, PlanStep, Resources, Window

DAY = 24 * 60
HOUR = 60
MONDAY_NOW = 18 * HOUR
EVENING = ((19 * HOUR, 21 * HOUR + 30),)
SATURDAY = ((9 * HOUR, 13 * HOUR), (14 * HOUR, 18 * HOUR))
SUNDAY = ((10 * HOUR, 16 * HOUR),)
WEEK = (*(EVENING for _ in range(5)), SATURDAY, SUNDAY)
WORKSHOP = Resources(drying_places=4, spray_corners=1, spray_clear=30)
# Key, words, least and most minutes of work, least and most hours of drying, whether it is sprayed.
STEPS = (
    ("strip", "Strip", 30, 60, 2, 2, False),
    ("repair", "Repair", 30, 90, 12, 12, False),
    ("sand", "Sand", 45, 150, 0, 0, False),
    ("prime", "Prime", 15, 30, 4, 12, True),
    ("coat", "First coat", 30, 60, 6, 16, True),
    ("coat2", "Second coat", 30, 60, 24, 24, True),
    ("fit", "Fit and photograph", 30, 60, 0, 0, False),
)
SLOT = 15


def evenings(weeks: int) -> tuple[Window, ...]:
    """Five evenings, Saturday and Sunday, from a Monday at six in the evening on: 26.5 hours a week."""
    return tuple(
        Window(day * DAY + start - MONDAY_NOW, day * DAY + end - MONDAY_NOW)
        for day in range(7 * weeks)
        for start, end in WEEK[day % 7]
    )


def pieces(count: int, seed: int, colours: int = 0) -> tuple[Job, ...]:
    """Pieces of seven steps in a row, in quarters of an hour; with `colours`, each is sprayed in one of so many."""
    chance = random.Random(seed)  # noqa: S311 - made-up pieces
    return tuple(_piece(number, chance, colours) for number in range(count))


def _piece(number: int, chance: random.Random, colours: int) -> Job:
    weight = round(100 * exp(chance.gauss(3, 0.6)))
    colour = f"colour {chance.randrange(colours)}" if colours else ""
    steps: list[PlanStep] = []
    for key, words, least, most, dry_least, dry_most, sprays in STEPS:
        steps.append(
            PlanStep(
                key=key,
                words=words,
                active=SLOT * chance.randint(least // SLOT, most // SLOT),
                passive=HOUR * chance.randint(dry_least, dry_most),
                after=(steps[-1].key,) if steps else (),
                sprays=sprays,
                takes_place=sprays,
                colour=colour if sprays else "",
            )
        )
    return Job(f"p{number}", f"Piece {number}", weight, tuple(steps))
