"""The least time of a published job shop, by the model the planner is held against.

Source: ft06, a job shop of six jobs and six machines published in 1963, optimum 55, as collected in public benchmark
files. Each row is a job: machine and time, in its order.
"""

from tests.bench.oracle import best_makespan

FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)


def test_six_jobs_on_six_machines_take_55() -> None:
    best = best_makespan(FT06)

    assert (best.value, best.is_proven) == (55, True)


def test_its_schedule_keeps_every_machine_and_every_order() -> None:
    starts = best_makespan(FT06).starts
    work = {
        (str(job), str(place)): (machine, starts[str(job), str(place)], starts[str(job), str(place)] + minutes)
        for job, row in enumerate(FT06)
        for place, (machine, minutes) in enumerate(row)
    }

    for (job, place), (_, start, _) in work.items():
        if place != "0":
            assert start >= work[job, str(int(place) - 1)][2]
    for one in work:
        for other in work:
            if one < other and work[one][0] == work[other][0]:
                assert work[one][2] <= work[other][1] or work[other][2] <= work[one][1]
    assert max(end for _, _, end in work.values()) == 55
