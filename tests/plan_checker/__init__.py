"""A checker of run plans that shares no code with the planner.

It is written from the reference pages of the round's folder and of the roads and hours, and from the European
rules on driving and working time. It reads a folder (TOML and CSV) and the document that
`fuelplan runs … --json` prints, nothing else, and returns every rule that the plan breaks.
`python -m tests.plan_checker ROUND FILE.json` prints them.
"""

from tests.plan_checker.check import RULES, breaches, check, told_breaches
from tests.plan_checker.context import Breach

__all__ = ["RULES", "Breach", "breaches", "check", "told_breaches"]
