#!/usr/bin/env python3
"""Solves many small problems to the end with the general constraint solver of cpsat_baseline.py.

    solve_many.py SECONDS WORKERS

Standard input: one problem file as a JSON string per line. Standard output: one JSON object per
line, in the same order:

    status      what the solver says of its model, or why there was nothing to solve
    objective   of its best schedule, which the referee has found valid
    bound       what no schedule can beat, says the solver

The optimum is proved where the two are equal but for the solver's rounding of money to 1/14400.
Needs the `ortools` package.
"""

from __future__ import annotations

import json
import sys
import time
from typing import Any

import check_schedule
import cpsat_baseline as peer

SEED = 1
LIST_SHARE = 0.05  # of the time, for list schedules


def as_file(p: peer.Problem, best: peer.Schedule) -> dict[str, Any]:
    """The schedule as its file would say it, without a bound."""
    def row(item: peer.Placed) -> dict[str, Any]:
        job = p.jobs[item.job]
        route = job.routes[item.route]
        return {"job": job.id, "route": route.id, "operation": route.operations[item.step].id,
                "option": item.option.index, "setup_start": item.setup_start, "run_start": item.run_start,
                "end": item.end}
    return {"format": check_schedule.SCHEDULE_FORMAT, "problem": p.data["name"], "objective": best.objective,
            "lower_bound": None, "purchases": [p.tools[t]["id"] for t in best.purchases],
            "operations": [row(item) for item in best.placed.values()]}


def solve(text: str, seconds: float, workers: int) -> dict[str, Any]:
    data = json.loads(text)
    p = peer.Problem(data)
    simple, p.parts = peer.simple_bound(p)  # type: ignore[attr-defined]
    begun = time.monotonic()
    best = peer.first_schedule(p, begun + LIST_SHARE * seconds, SEED)
    best, found, status = peer.solve_model(peer.Model(p, best), best, seconds, workers, False)
    if found > best.objective + 1e-6:
        return {"status": f"{status}, though there is a schedule", "objective": None, "bound": None}
    report, _ = check_schedule.judge(data, as_file(p, best))
    if report.lines:
        return {"status": f"refused: {report.lines[0]}", "objective": None, "bound": None}
    # The model may leave out schedules that are worse than the incumbent.
    return {"status": status, "objective": best.objective, "bound": max(simple, min(found, best.objective))}


def main() -> None:
    seconds, workers = float(sys.argv[1]), int(sys.argv[2])
    for line in sys.stdin:
        try:
            answer = solve(json.loads(line), seconds, workers)
        except (Exception, SystemExit) as failure:  # it is not made for every odd problem
            answer = {"status": f"nothing: {type(failure).__name__}: {failure}", "objective": None, "bound": None}
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
