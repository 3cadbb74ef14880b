"""Pieces, free time and workshops at random, for properties of the planner: small, and awkward on purpose."""

from dataclasses import dataclass

from hypothesis import strategies as st

from app.bench.rules import Job, PlanStep, Resources, Window

COLOURS = ("", "red", "blue")
HELD = "It waits for somebody."


@dataclass(frozen=True)
class Shop:
    """What a plan is made from."""

    jobs: tuple[Job, ...]
    windows: tuple[Window, ...]
    resources: Resources


@st.composite
def jobs(draw: st.DrawFn, number: int) -> Job:
    """A piece whose steps come after any of the steps before them, some of them begun, in any order."""
    steps: list[PlanStep] = []
    for place in range(draw(st.integers(0, 5))):
        earlier = [step.key for step in steps]
        after = draw(st.lists(st.sampled_from(earlier), unique=True, max_size=2)) if earlier else []
        has_begun = draw(st.integers(0, 7)) == 0
        was_left = not has_begun and draw(st.integers(0, 7)) == 0
        steps.append(
            PlanStep(
                key=f"s{place}",
                words=f"Step {place}",
                active=draw(st.integers(0, 70)),
                passive=draw(st.sampled_from((0, 0, 20, 90, 300, 1440))),
                after=tuple(after),
                sprays=draw(st.booleans()),
                takes_place=draw(st.booleans()),
                colour=draw(st.sampled_from(COLOURS)),
                started_at=draw(st.integers(-400, 60)) if has_begun else None,
                left_since=draw(st.integers(-400, 0)) if was_left else None,
                held_by=HELD if not has_begun and draw(st.integers(0, 9)) == 0 else "",
                ready_at=draw(st.sampled_from((0, 0, 0, 100, 2000))),
            )
        )
    weight = draw(st.sampled_from((0, 1, 500, 500, 20_000)))
    return Job(f"p{number}", f"Piece {number}", weight, tuple(draw(st.permutations(steps))))


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """A workshop with some pieces; windows overlap, touch and stand in any order, one at least is to come."""
    spells = draw(st.lists(st.tuples(st.integers(-200, 3000), st.integers(0, 240)), max_size=7))
    first = draw(st.integers(0, 300))
    windows = [Window(first, first + draw(st.integers(1, 240))), *(Window(at, at + long) for at, long in spells)]
    resources = Resources(
        drying_places=draw(st.integers(0, 3)),
        spray_corners=draw(st.integers(0, 2)),
        spray_clear=draw(st.sampled_from((0, 30, 45))),
        taken_until=tuple(draw(st.lists(st.integers(-100, 900), max_size=2))),
    )
    count = draw(st.integers(0, 4))
    return Shop(
        tuple(draw(jobs(number)) for number in range(count)),
        tuple(draw(st.permutations(windows))),
        resources,
    )
