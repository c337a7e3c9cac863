"""The dispatcher's run plan: whom to serve on which day, how much, on which tanker, in which order.

The core searches over each customer's whole pattern of visits; it knows levels, routes and costs only.
"""

from fuelplan.dispatch.run_plan.chain import DEFAULT_HABITS, Budget, Habits, Progress, search
from fuelplan.dispatch.run_plan.problem import NEVER, Problem, ProblemError, Solution, Visit

__all__ = [
    "DEFAULT_HABITS", "NEVER", "Budget", "Habits", "Problem", "ProblemError", "Progress", "Solution", "Visit",
    "search",
]  # fmt: skip
