#!/usr/bin/env python3
"""Judges many schedules in one process, for the tests that compare judges.

Standard input: one JSON list per line, [problem file as a string, schedule file as a string].
Standard output: one JSON object per line, in the same order:

    stage   "unreadable", "problem", "schedule", "rules" or "valid": where the judging ended
    lines   what the referee said
    objective, late_jobs, setup_minutes   where the stage is "valid"

Every file goes through the referee's own strict reading, hence the two files on disk.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from typing import Any

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import check_schedule  # noqa: E402


def read(folder: str, name: str, text: str) -> Any:
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8", newline="", errors="surrogatepass") as handle:
        handle.write(text)
    return check_schedule.read_json(path)


def stage_of(problem: Any, schedule: Any, referee: check_schedule.Referee | None) -> str:
    """Where a rejected schedule failed."""
    report = check_schedule.Report()
    check_schedule.check_problem(problem, report)
    if report.lines:
        return "problem"
    return "schedule" if referee is None else "rules"


def judge(folder: str, problem_text: str, schedule_text: str) -> dict[str, Any]:
    try:
        problem = read(folder, "problem.json", problem_text)
        schedule = read(folder, "schedule.json", schedule_text)
    except check_schedule.Unreadable as error:
        return {"stage": "unreadable", "lines": [str(error)]}
    report, referee = check_schedule.judge(problem, schedule)
    if report.lines or referee is None:
        return {"stage": stage_of(problem, schedule, referee), "lines": report.lines}
    return {"stage": "valid", "lines": [], "objective": referee.objective(), "late_jobs": referee.late_jobs(),
            "setup_minutes": sum(op.setup for op in referee.placed)}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        for line in sys.stdin:
            print(json.dumps(judge(folder, *json.loads(line))), flush=True)


if __name__ == "__main__":
    main()
