#!/usr/bin/env python3
"""Decides purchases with a general constraint solver, to the proved optimum.

Standard input: one question per line, as JSON: `prices` by tool, and `cases`, for each a list of ways with
`cost` and the indices of the `tools` that must be bought for it; all amounts are whole numbers. Standard
output: the least cost of all purchases and ways together, one line each, or what was not proved.
Needs the `ortools` package.
"""

import json
import sys

from ortools.sat.python import cp_model


def least(question: dict) -> str:
    model = cp_model.CpModel()
    bought = [model.new_bool_var(f"tool {at}") for at in range(len(question["prices"]))]
    cost = [price * tool for price, tool in zip(question["prices"], bought)]
    for ways in question["cases"]:
        taken = [model.new_bool_var("way") for _ in ways]
        model.add_exactly_one(taken)
        for way, chosen in zip(ways, taken):
            cost.append(way["cost"] * chosen)
            for tool in way["tools"]:
                model.add_implication(chosen, bought[tool])
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    if status != cp_model.OPTIMAL:
        return f"not proved: {solver.status_name(status)}"
    return str(round(solver.objective_value))


if __name__ == "__main__":
    for line in sys.stdin:
        print(least(json.loads(line)), flush=True)
