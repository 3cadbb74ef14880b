"""The steps, the free time and the workshop as whole numbers by index, worked out once for thousands of plans."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.basics.quantities import format_minutes
from app.bench.rules.planned import Job, PlanStep, Resources, Window
from app.bench.rules.soundness import require_sound

Corner = tuple[int, int]
"""Until when a spray corner is taken, and by which colour; colour 0 is one that nothing else is the same as."""
NO_COLOUR = 0


@dataclass(frozen=True, slots=True)
class Board:
    """Every step has an index, in the order of the pieces; each list holds one fact by that index.

    `windows` are the free spells from now on, sorted, merged and without the minutes of steps that began. `free` are
    the steps to be placed; `stuck` those that no plan can place, and why. `earliest` knows what is fixed only;
    `unmet` counts the free steps that must come first and `following` names the free ones that come after. `resumed`
    are the free steps that were begun and left, in the order they were begun.
    """

    jobs: tuple[Job, ...]
    steps: tuple[PlanStep, ...]
    owner: tuple[int, ...]
    windows: tuple[tuple[int, int], ...]
    resources: Resources
    free: tuple[int, ...]
    resumed: tuple[int, ...]
    stuck: Mapping[int, str]
    before: tuple[tuple[int, ...], ...]
    following: tuple[tuple[int, ...], ...]
    unmet: tuple[int, ...]
    earliest: tuple[int, ...]
    colours: tuple[int, ...]
    corners: tuple[Corner, ...]
    held: tuple[int, ...]
    weights: tuple[int, ...]
    fixed_dry: tuple[int, ...]


def board_of(jobs: Sequence[Job], windows: Sequence[Window], resources: Resources) -> Board:
    """The same facts by index. Raises CannotPlan where they are not sound, or leave no free time."""
    require_sound(jobs, windows, resources)
    steps = tuple(step for job in jobs for step in job.steps)
    owner = tuple(number for number, job in enumerate(jobs) for _ in job.steps)
    before = _before(jobs)
    begun = [step for step in steps if step.started_at is not None]
    spells = _free_spells(windows, [(start_of(step), start_of(step) + step.active) for step in begun])
    stuck = _stuck(jobs, before, spells, resources)
    free = tuple(index for index, step in enumerate(steps) if step.started_at is None and index not in stuck)
    are_free = frozenset(free)
    colours = _colours(steps)
    return Board(
        jobs=tuple(jobs),
        steps=steps,
        owner=owner,
        windows=spells,
        resources=resources,
        free=free,
        resumed=_resumed(steps, free),
        stuck=stuck,
        before=before,
        following=_following(before, are_free),
        unmet=tuple(len(are_free.intersection(first)) for first in before),
        earliest=tuple(
            max(0, step.ready_at, *(dry_of(steps[one]) for one in first if steps[one].started_at is not None))
            for step, first in zip(steps, before, strict=True)
        ),
        colours=colours,
        corners=_corners(steps, colours, resources),
        held=tuple(sorted((*resources.taken_until, *(dry_of(step) for step in begun if step.takes_place)))),
        weights=tuple(job.weight for job in jobs) if any(job.weight for job in jobs) else (1,) * len(jobs),
        fixed_dry=tuple(
            max((dry_of(step) for step in job.steps if step.started_at is not None), default=0) for job in jobs
        ),
    )


def start_of(step: PlanStep) -> int:
    """When a step that began did so."""
    return step.started_at or 0


def dry_of(step: PlanStep) -> int:
    """When a step that began is done and dry."""
    return start_of(step) + step.active + step.passive


def _before(jobs: Sequence[Job]) -> tuple[tuple[int, ...], ...]:
    before: list[tuple[int, ...]] = []
    for job in jobs:
        place = {step.key: len(before) + number for number, step in enumerate(job.steps)}
        before.extend(tuple(sorted({place[key] for key in step.after})) for step in job.steps)
    return tuple(before)


def _following(before: Sequence[Sequence[int]], are_free: frozenset[int]) -> tuple[tuple[int, ...], ...]:
    following: list[list[int]] = [[] for _ in before]
    for index in are_free:
        for one in before[index]:
            following[one].append(index)
    return tuple(tuple(sorted(after)) for after in following)


def _free_spells(windows: Iterable[Window], busy: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """The windows from now on, merged where they touch, without the minutes at which a step that began is worked on."""
    spells: list[tuple[int, int]] = []
    for start, end in sorted((max(0, window.start), window.end) for window in windows):
        if spells and start <= spells[-1][1]:
            spells[-1] = (spells[-1][0], max(end, spells[-1][1]))
        elif start < end:
            spells.append((start, end))
    for begin, stop in busy:
        cut = ((start, end, max(start, begin), min(end, stop)) for start, end in spells)
        spells = [
            part
            for start, end, first, last in cut
            for part in (((start, first), (last, end)) if first < last else ((start, end),))
            if part[0] < part[1]
        ]
    return tuple(spells)


def _stuck(
    jobs: Sequence[Job], before: Sequence[Sequence[int]], spells: Sequence[tuple[int, int]], resources: Resources
) -> dict[int, str]:
    """Steps for which there is no place in any plan, and what comes after them."""
    steps = [step for job in jobs for step in job.steps]
    waiting = frozenset(index for index, step in enumerate(steps) if step.started_at is None)
    following = _following(before, waiting)
    longest = max((end - start for start, end in spells), default=0)
    stuck = {index: why for index in sorted(waiting) if (why := _why_stuck(steps[index], longest, resources))}
    found = list(stuck)
    for index in found:
        after = [one for one in following[index] if one not in stuck]
        stuck.update(dict.fromkeys(after, because_of(steps[index])))
        found.extend(after)
    return stuck


def because_of(step: PlanStep) -> str:
    """Why a step is left over that comes after one that is."""
    return f"It comes after “{step.words}”, which is left over."


def _resumed(steps: Sequence[PlanStep], free: Iterable[int]) -> tuple[int, ...]:
    begun = sorted((since, index) for index in free if (since := steps[index].left_since) is not None)
    return tuple(index for _, index in begun)


def _why_stuck(step: PlanStep, longest: int, resources: Resources) -> str:
    if step.held_by:
        return step.held_by
    if step.active > longest:
        return (
            f"It takes {format_minutes(step.active)} and your longest free spell is {format_minutes(longest)}."
            " It can be split into shorter steps."
        )
    if step.takes_place and not resources.drying_places:
        return "It needs a place to dry and you have none."
    if step.sprays and not resources.spray_corners:
        return "It is sprayed and you have no corner to spray in."
    return ""


def _colours(steps: Sequence[PlanStep]) -> tuple[int, ...]:
    named = sorted({step.colour for step in steps if step.sprays and step.colour})
    number = {colour: place for place, colour in enumerate(named, start=NO_COLOUR + 1)}
    return tuple(number[step.colour] if step.sprays and step.colour else NO_COLOUR for step in steps)


def _corners(steps: Sequence[PlanStep], colours: Sequence[int], resources: Resources) -> tuple[Corner, ...]:
    """Until when the steps that began take the corners.

    One that begins later than now, which rounding can make, takes its corner from now on and lends it to none.
    """
    corners: list[Corner] = [(0, NO_COLOUR)] * resources.spray_corners
    begun = sorted((start_of(step), index) for index, step in enumerate(steps) if step.started_at is not None)
    for start, index in begun:
        step = steps[index]
        if step.sprays and corners:
            colour = colours[index] if start <= 0 else NO_COLOUR
            taken_until = start + step.active + resources.spray_clear
            corners = take_corner(corners, (taken_until, colour), start)[0]
    return tuple(corners)


def take_corner(corners: Sequence[Corner], taken: Corner, start: int) -> tuple[list[Corner], bool]:
    """The corners, first clear first, after one is taken from `start` on, and whether that went without a new set-up.

    It joins the corner that still holds its colour, the last to be clear where there are several; otherwise it takes
    the one that is clear first.
    """
    until, colour = taken
    if len(corners) == 1:
        # The usual workshop has one, and this is asked a hundred thousand times in a search.
        held_until, held = corners[0]
        is_joined = colour != NO_COLOUR and colour == held and start <= held_until
        return [(max(until, held_until) if is_joined else until, colour)], is_joined
    joined = next((one for one in reversed(corners) if colour and one[1] == colour and start <= one[0]), None)
    rest = list(corners)
    rest.remove(joined or rest[0])
    rest.append((max(until, joined[0]) if joined else until, colour))
    rest.sort()
    return rest, joined is not None
