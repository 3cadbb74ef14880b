"""Every line's reason is true of that line: each kind of sentence is read again and held against the plan."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import pytest
from hypothesis import given

from app.bench.rules import Job, Plan, PlanLine, PlanStep, Resources, Window, greedy_plan, plan
from tests.bench.feasible import Key, faults, starts_of
from tests.bench.shops import Shop, shops
from tests.builders.evenings import WORKSHOP, evenings, pieces


def span(minutes: int) -> str:
    """Minutes as a plan says them, worked out anew: over four hours by the half hour, else by five minutes."""
    said = int(minutes / 30 + 0.5) * 30 if minutes > 240 else -(-minutes // 5) * 5
    hours, rest = said // 60, said % 60
    words = " ".join([f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours))
    return f"about {words}" if minutes > 240 else words


@dataclass(frozen=True)
class Reading:
    """A plan and what it was made from, to hold a sentence against."""

    shop: Shop
    plan: Plan

    @cached_property
    def steps(self) -> dict[Key, PlanStep]:
        return {(job.key, step.key): step for job in self.shop.jobs for step in job.steps}

    @cached_property
    def jobs(self) -> dict[str, Job]:
        return {job.key: job for job in self.shop.jobs}

    def named(self, line: PlanLine) -> str:
        return f"“{self.steps[line.job, line.step].words}” of {self.jobs[line.job].words}"

    def after(self, line: PlanLine) -> tuple[PlanLine, ...]:
        return self.plan.lines[self.plan.lines.index(line) + 1 :]

    def unbegun(self, line: PlanLine, job: str) -> list[PlanStep]:
        """Steps of a piece that are not begun when a line is."""
        before = {(one.job, one.step) for one in self.plan.lines[: self.plan.lines.index(line)]}
        return [step for step in self.jobs[job].steps if (job, step.key) not in before and step.started_at is None]

    def could_begin(self, line: PlanLine) -> set[str]:
        """The pieces of which a step other than the line's own could be begun instead of it."""
        return {job for job, _ in self.steps_that_could(line)}

    def steps_that_could(self, line: PlanLine) -> set[Key]:
        """The steps, other than the line's own, that could be begun instead of it."""
        earlier = {(one.job, one.step): one.start for one in self.plan.lines[: self.plan.lines.index(line)]}
        fixed = {key: step.started_at for key, step in self.steps.items() if step.started_at is not None}
        found: set[Key] = set()
        for job in self.shop.jobs:
            for step in self.unbegun(line, job.key):
                key = (job.key, step.key)
                trial = {**fixed, **earlier, key: line.start}
                if (
                    key != (line.job, line.step)
                    and not step.held_by
                    and not faults(self.shop.jobs, self.shop.windows, self.shop.resources, trial)
                ):
                    found.add(key)
        return found

    def goes_on_soonest(self, line: PlanLine) -> bool:
        """Whether it was begun and left, and could be begun at no line before it that was not, nor begun later."""
        key = (line.job, line.step)
        since = self.steps[key].left_since
        if since is None:
            return False
        earlier = self.plan.lines[: self.plan.lines.index(line)]
        return not any(
            key in self.steps_that_could(one)
            for one in earlier
            if not one.is_fixed and (self.steps[one.job, one.step].left_since or 1) > since
        )

    def brings_most(self, line: PlanLine) -> bool:
        def ratio(job: str) -> tuple[int, int]:
            weight = self.jobs[job].weight if any(one.weight for one in self.shop.jobs) else 1
            return weight, sum(step.active for step in self.unbegun(line, job))

        weight, left = ratio(line.job)
        others = [ratio(job) for job in self.could_begin(line) - {line.job}]
        return weight > 0 and all(weight * other_left > other * left for other, other_left in others)

    def is_last_before_a_stop(self, line: PlanLine) -> bool:
        open_minutes = {m for window in self.shop.windows for m in range(max(0, window.start), window.end)}
        stop = line.start
        while stop in open_minutes:
            stop += 1
        return not any(one.start < stop for one in self.after(line))


def _same_colour(reading: Reading, line: PlanLine, said: re.Match[str]) -> bool:
    colour = reading.steps[line.job, line.step].colour
    return colour != "" and any(
        reading.named(one) == said["what"]
        and reading.steps[one.job, one.step].sprays
        and reading.steps[one.job, one.step].colour == colour
        and one.end <= line.start <= one.end + reading.shop.resources.spray_clear
        for one in reading.plan.lines
        if one is not line
    )


def _last(reading: Reading, line: PlanLine, said: re.Match[str]) -> bool:
    done = reading.plan.done_at[line.job]
    wait = said["wait"] if "wait" in said.re.groupindex else "0 min"
    has_coat = any(step.takes_place for step in reading.jobs[line.job].steps)
    return (
        done is not None
        and has_coat == ("harden" in line.reason)
        and span(done - line.end) == wait
        and said["piece"] == reading.jobs[line.job].words
        and all(one.job != line.job for one in reading.after(line))
    )


def _meanwhile(reading: Reading, line: PlanLine, said: re.Match[str]) -> bool:
    return said["dry"] == span(line.dry_at - line.end) and any(
        f"{reading.steps[one.job, one.step].words} on {reading.jobs[one.job].words}".lower() == said["deed"].lower()
        and line.end <= one.start
        and one.end <= line.dry_at
        and one.job != line.job
        for one in reading.plan.lines
    )


def _waits(reading: Reading, line: PlanLine, said: re.Match[str]) -> bool:
    return any(
        reading.named(one) == said["what"]
        and one.job == line.job
        and line.step in reading.steps[one.job, one.step].after
        and one.start >= line.dry_at
        for one in reading.plan.lines
    )


HARDENS = "it must harden as the label says before it is wrapped or delivered"
SENTENCES: dict[str, Callable[[Reading, PlanLine, re.Match[str]], bool]] = {
    r"The same colour as (?P<what>.+): the corner is still set up for it\.": _same_colour,
    rf"The last step: then (?P<piece>\w+( \w+)?) is done(; {HARDENS})?\.": _last,
    rf"The last step: (?P<wait>.+) later (?P<piece>\w+( \w+)?) is dry(; {HARDENS})?\.": _last,
    r"It was begun and left: it goes on as soon as it can\.": lambda reading, line, _: reading.goes_on_soonest(line),
    r"Other steps of (?P<piece>.+) are held up; this one is not\.": lambda reading, line, said: (
        said["piece"] == reading.jobs[line.job].words
        and any(step.held_by for step in reading.jobs[line.job].steps)
        and not reading.steps[line.job, line.step].held_by
    ),
    r"It then dries (?P<dry>.+); meanwhile: (?P<deed>.+)\.": _meanwhile,
    r"Nothing else can be begun at that time\.": lambda reading, line, _: not reading.could_begin(line),
    r"Of what can be begun, (?P<piece>.+) brings most for the work left\.": lambda reading, line, said: (
        reading.brings_most(line)
        and any(job.weight for job in reading.shop.jobs)
        and said["piece"] == reading.jobs[line.job].words
    ),
    r"Of what can be begun, (?P<piece>.+) has the least work left\.": lambda reading, line, said: (
        reading.brings_most(line)
        and not any(job.weight for job in reading.shop.jobs)
        and said["piece"] == reading.jobs[line.job].words
    ),
    r"The last thing before you stop: it dries (?P<dry>.+) without you\.": lambda reading, line, said: (
        said["dry"] == span(line.dry_at - line.end) and line.dry_at > line.end and reading.is_last_before_a_stop(line)
    ),
    r"(?P<what>“.+” of .+) waits for it\.": _waits,
    r"(?P<piece>.+) cannot be finished in your free time; this step of it can\.": lambda reading, line, said: (
        reading.plan.done_at[line.job] is None and said["piece"] == reading.jobs[line.job].words
    ),
    r"(?P<piece>.+) has more steps after it\.": lambda reading, line, said: (
        any(one.job == line.job for one in reading.after(line)) and said["piece"] == reading.jobs[line.job].words
    ),
    r"It stays where it was begun\.": lambda _, line, __: line.is_fixed and line.start > 0,
    r"It goes on where it was begun; work left: (?P<left>.+)\.": lambda _, line, said: (
        line.is_fixed and line.start <= 0 < line.end and said["left"] == span(line.end)
    ),
    r"It is done, and dry in (?P<dry>.+)\.": lambda _, line, said: (
        line.is_fixed and line.end <= 0 < line.dry_at and said["dry"] == span(line.dry_at)
    ),
    r"It is done and dry\.": lambda _, line, __: line.is_fixed and line.dry_at <= 0,
}


def untrue(shop: Shop, made: Plan) -> list[str]:
    """The lines whose reason is of no known kind or does not hold."""
    reading, found = Reading(shop, made), []
    for line in made.lines:
        kinds = [(said, holds) for form, holds in SENTENCES.items() if (said := re.fullmatch(form, line.reason))]
        if len(kinds) != 1 or not kinds[0][1](reading, line, kinds[0][0]):
            found.append(f"{line}")
    return found


@given(shop=shops())
def test_every_reason_is_true(shop: Shop) -> None:
    made = plan(shop.jobs, shop.windows, shop.resources, evaluations=20, seed=1)

    assert untrue(shop, made) == []


@pytest.mark.parametrize("seed", [1, 2])
def test_every_reason_of_an_evening_shop_is_true(seed: int) -> None:
    shop = Shop(pieces(5, seed, colours=2), evenings(3), WORKSHOP)

    assert untrue(shop, plan(shop.jobs, shop.windows, shop.resources, evaluations=60, seed=seed)) == []


def test_a_false_reason_is_found() -> None:
    # The reading above must be able to fail: each line of a plan is given the reasons of all the others.
    shop = Shop(pieces(4, 1, colours=2), evenings(3), WORKSHOP)
    made = greedy_plan(shop.jobs, shop.windows, shop.resources)
    lines = made.lines
    turned = tuple(
        PlanLine(one.job, one.step, one.start, one.end, one.dry_at, other.reason, one.is_fixed)
        for one, other in zip(lines, [*lines[1:], lines[0]], strict=True)
    )
    wrong = untrue(shop, Plan(turned, made.left_over, made.done_at, made.value, made.set_ups, 1))

    assert len(wrong) > len(lines) // 2


def one(key: str, *steps: PlanStep, weight: int = 100) -> Job:
    return Job(key, key, weight, steps)


def reasons(*jobs: Job, resources: Resources = WORKSHOP) -> dict[Key, str]:
    windows = (Window(0, 3000),)
    made = plan(jobs, windows, resources, evaluations=100, seed=1)
    assert untrue(Shop(jobs, windows, resources), made) == []
    assert set(starts_of(made)) == {(line.job, line.step) for line in made.lines}
    return {(line.job, line.step): line.reason for line in made.lines}


def test_a_long_coat_says_what_is_done_while_it_dries() -> None:
    coat, fit = PlanStep("coat", "Second coat", 30, 24 * 60), PlanStep("fit", "Fit", 30, after=("coat",))
    said = reasons(one("Chest", coat, fit), one("3F2", PlanStep("sand", "Sand", 60), weight=10))

    assert said["Chest", "coat"] == "It then dries about 24 h; meanwhile: sand on 3F2."
    assert said["Chest", "fit"] == "The last step: then Chest is done."


def test_a_step_that_began_says_how_it_goes_on() -> None:
    said = reasons(
        one("A", PlanStep("sand", "Sand", 60, started_at=-20)),
        one("B", PlanStep("coat", "Coat", 10, 90, started_at=-40)),
        one("C", PlanStep("coat", "Coat", 10, 90, started_at=-400)),
        one("D", PlanStep("sand", "Sand", 10, started_at=5)),
    )

    assert list(said.values()) == [
        "It is done and dry.",
        "It is done, and dry in 1 h.",
        "It goes on where it was begun; work left: 40 min.",
        "It stays where it was begun.",
    ]


def test_the_same_colour_names_what_was_sprayed_before() -> None:
    coat = PlanStep("coat", "Coat", 20, 60, sprays=True, colour="red")
    said = reasons(one("A", coat, weight=200), one("B", coat))

    assert said["A", "coat"] == "The last step: 1 h later A is dry."
    assert said["B", "coat"] == "The same colour as “Coat” of A: the corner is still set up for it."


def test_what_waits_for_the_corner_or_a_place_could_not_be_begun_instead() -> None:
    def coat(colour: str) -> PlanStep:
        return PlanStep("coat", "Coat", 20, 60, sprays=True, takes_place=True, colour=colour)

    sand, wipe = PlanStep("sand", "Sand", 10), PlanStep("wipe", "Wipe", 5, after=("sand",))
    for second, resources in (("blue", Resources()), ("red", Resources(drying_places=1))):
        jobs = (one("A", coat("red"), weight=900), one("B", coat(second)), one("C", sand, wipe, weight=1))

        assert reasons(*jobs, resources=resources)["C", "sand"] == "Nothing else can be begun at that time."


def test_a_short_drying_is_no_reason() -> None:
    strip, sand = PlanStep("strip", "Strip", 30, 2 * 60), PlanStep("sand", "Sand", 30, after=("strip",))

    assert reasons(one("A", strip, sand), one("B", PlanStep("wipe", "Wipe", 30), weight=1))["A", "strip"] == (
        "Of what can be begun, A brings most for the work left."
    )


def test_what_brings_most_for_the_work_left_says_so() -> None:
    two = (PlanStep("sand", "Sand", 20), PlanStep("wipe", "Wipe", 20, after=("sand",)))

    assert reasons(one("A", *two, weight=200), one("B", *two))["A", "sand"] == (
        "Of what can be begun, A brings most for the work left."
    )
    assert reasons(one("A", *two, weight=0), one("B", two[0], weight=0))["A", "sand"] == (
        "Nothing else can be begun at that time."
    )


def test_where_nothing_brings_anything_the_least_work_says_so() -> None:
    two = (PlanStep("sand", "Sand", 20), PlanStep("wipe", "Wipe", 20, after=("sand",)))
    longer = (PlanStep("sand", "Sand", 50), PlanStep("wipe", "Wipe", 20, after=("sand",)))

    assert reasons(one("A", *longer, weight=0), one("B", *two, weight=0))["B", "sand"] == (
        "Of what can be begun, B has the least work left."
    )


@pytest.mark.parametrize(
    ("passive", "said"), [(240, "4 h"), (242, "about 4 h"), (24 * 60 + 5, "about 24 h"), (333, "about 5 h 30 min")]
)
def test_a_long_wait_is_said_by_the_half_hour_and_a_coat_must_harden_after_it(passive: int, said: str) -> None:
    coat = PlanStep("coat", "Coat", 20, passive, takes_place=True)

    assert reasons(one("A", coat))["A", "coat"] == (
        f"The last step: {said} later A is dry; it must harden as the label says before it is wrapped or delivered."
    )


def test_what_was_begun_and_left_goes_on_first_in_the_order_it_was_begun() -> None:
    sand = PlanStep("sand", "Sand", 60)
    later = PlanStep("wax", "Wax", 30, left_since=-10)
    sooner = PlanStep("oil", "Oil", 90, left_since=-200)
    said = reasons(one("A", sand, weight=90_000), one("B", later, weight=1), one("C", sooner, weight=1))

    assert list(said) == [("C", "oil"), ("B", "wax"), ("A", "sand")]
    assert said["C", "oil"] == said["B", "wax"] == "It was begun and left: it goes on as soon as it can."


def test_what_is_held_up_is_left_over_and_the_step_before_it_does_not_blame_the_free_time() -> None:
    why = "It waits for the result of the lead test."
    test, sand = PlanStep("test", "Test", 5), PlanStep("sand", "Sand", 60, after=("test",), held_by=why)
    two = one("B", PlanStep("wipe", "Wipe", 30), PlanStep("fit", "Fit", 30, after=("wipe",)), weight=90_000)
    jobs = (one("A", test, sand), two)
    made = greedy_plan(jobs, (Window(0, 3000),), WORKSHOP)

    assert untrue(Shop(jobs, (Window(0, 3000),), WORKSHOP), made) == []
    assert [(left.step, left.why) for left in made.left_over] == [("sand", why)]
    assert made.done_at["A"] is None
