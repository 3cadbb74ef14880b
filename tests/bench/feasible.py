"""What is wrong with a plan: the rules of the bench read anew, minute by minute, without any of the planner's code.

It knows nothing of orders, priorities or heaps. It takes when each step starts and asks of every rule whether it is
kept. Steps that began are facts: only what is planned around them can be wrong.
"""

from collections.abc import Iterable, Mapping, Sequence

from app.bench.rules import Job, Plan, PlanStep, Resources, Window

Key = tuple[str, str]


def faults(
    jobs: Sequence[Job], windows: Sequence[Window], resources: Resources, starts: Mapping[Key, int]
) -> list[str]:
    """Every rule that is broken, in words; empty for a sound plan."""
    steps = {(job.key, step.key): step for job in jobs for step in job.steps}
    free = {key: start for key, start in starts.items() if steps[key].started_at is None}
    everything = free | {key: step.started_at for key, step in steps.items() if step.started_at is not None}
    return [
        *_moved(steps, starts),
        *_out_of_time(steps, windows, free),
        *_two_at_once(steps, free, everything),
        *_too_soon(steps, free, everything),
        *_too_many_drying(steps, resources, free, everything),
        *_corner_not_clear(steps, resources, everything),
    ]


def _moved(steps: Mapping[Key, PlanStep], starts: Mapping[Key, int]) -> Iterable[str]:
    for key, step in steps.items():
        if step.started_at is not None and starts.get(key) != step.started_at:
            yield f"{key} began at {step.started_at} and stands at {starts.get(key)}"


def _out_of_time(steps: Mapping[Key, PlanStep], windows: Sequence[Window], free: Mapping[Key, int]) -> Iterable[str]:
    open_minutes = {minute for window in windows for minute in range(max(0, window.start), window.end)}
    for key, start in free.items():
        minutes = range(start, start + max(1, steps[key].active))
        if not open_minutes.issuperset(minutes):
            yield f"{key} is worked on outside the free time, from {start}"


def _two_at_once(
    steps: Mapping[Key, PlanStep], free: Mapping[Key, int], everything: Mapping[Key, int]
) -> Iterable[str]:
    for key, start in free.items():
        for other, other_start in everything.items():
            both_from = max(start, other_start)
            both_until = min(start + steps[key].active, other_start + steps[other].active)
            if key != other and both_from < both_until:
                yield f"{key} and {other} are worked on at once"


def _too_soon(steps: Mapping[Key, PlanStep], free: Mapping[Key, int], everything: Mapping[Key, int]) -> Iterable[str]:
    for key, start in free.items():
        if start < steps[key].ready_at:
            yield f"{key} begins before it is ready"
        for name in steps[key].after:
            first = (key[0], name)
            if first not in everything:
                yield f"{key} is begun and {first} never is"
            elif start < everything[first] + steps[first].active + steps[first].passive:
                yield f"{key} begins before {first} is dry"


def _too_many_drying(
    steps: Mapping[Key, PlanStep], resources: Resources, free: Mapping[Key, int], everything: Mapping[Key, int]
) -> Iterable[str]:
    holds = {
        key: (start, start + steps[key].active + steps[key].passive)
        for key, start in everything.items()
        if steps[key].takes_place
    }
    taken = [(0, until) for until in resources.taken_until]
    for key in free:
        if key in holds and holds[key][0] < holds[key][1]:
            begin, dry = holds[key]
            moments = {begin, *(start for start, _ in holds.values() if begin <= start < dry)}
            for minute in sorted(moments):
                drying = sum(start <= minute < until for start, until in [*holds.values(), *taken])
                if drying > resources.drying_places:
                    yield f"{drying} places are taken at {minute} while {key} dries"


def _corner_not_clear(
    steps: Mapping[Key, PlanStep], resources: Resources, everything: Mapping[Key, int]
) -> Iterable[str]:
    """Try every way of giving the spray steps to the corners; say where the last way ends.

    A corner is known by the spray step that was last in it. The next may begin when that one ended, if it is of the
    same colour, and otherwise when the corner is clear. A step that began went where it went.
    """
    sprays = sorted((start, key) for key, start in everything.items() if steps[key].sprays)
    if not resources.spray_corners:
        yield from (f"{key} is sprayed without a corner" for _, key in sprays if steps[key].started_at is None)
        return
    ways: set[tuple[Key | None, ...]] = {(None,) * resources.spray_corners}
    for start, key in sprays:
        ways = {
            (*way[:corner], key, *way[corner + 1 :])
            for way in ways
            for corner, last in enumerate(way)
            if last is None
            or (steps[key].started_at is not None and steps[last].started_at is not None)
            or start >= _open_again(steps[last], everything[last], steps[key], resources)
        }
        if not ways:
            yield f"no corner is clear for {key} at {start}"
            return


def _open_again(last: PlanStep, start: int, then: PlanStep, resources: Resources) -> int:
    is_same = bool(last.colour) and last.colour == then.colour
    return start + last.active + (0 if is_same else resources.spray_clear)


def starts_of(plan: Plan) -> dict[Key, int]:
    """When each step of a plan starts."""
    return {(line.job, line.step): line.start for line in plan.lines}


def worth(jobs: Sequence[Job], starts: Mapping[Key, int]) -> int:
    """Cents times minutes: each piece, all of whose steps start, at the minute it is done and dry."""
    weighs = any(job.weight for job in jobs)
    return sum(
        (job.weight if weighs else 1)
        * max(starts[job.key, step.key] + step.active + step.passive for step in job.steps)
        for job in jobs
    )


def muddles(jobs: Sequence[Job], plan: Plan) -> list[str]:
    """What a plan says of itself that does not hold together, whatever the rules."""
    steps = {(job.key, step.key): step for job in jobs for step in job.steps}
    starts = starts_of(plan)
    left = [(one.job, one.step) for one in plan.left_over if one.step]
    found = []
    if sorted([*((line.job, line.step) for line in plan.lines), *left]) != sorted(steps):
        found.append("not every step stands once, in the plan or left over")
    if [line.start for line in plan.lines] != sorted(line.start for line in plan.lines):
        found.append("the lines are not in the order of their beginning")
    for line in plan.lines:
        step = steps[line.job, line.step]
        if (line.end, line.dry_at) != (line.start + step.active, line.start + step.active + step.passive):
            found.append(f"{line} ends or dries at another time than its step")
        if line.is_fixed != (step.started_at is not None):
            found.append(f"{line} is fixed or not, against its step")
    for job in jobs:
        dry = [starts[job.key, s.key] + s.active + s.passive for s in job.steps if (job.key, s.key) in starts]
        wanted = max(dry) if dry and len(dry) == len(job.steps) else None
        if plan.done_at[job.key] != wanted:
            found.append(f"{job.key} is said to be done at {plan.done_at[job.key]}, not at {wanted}")
    if set(plan.done_at) != {job.key for job in jobs}:
        found.append("done_at names other pieces")
    return found
