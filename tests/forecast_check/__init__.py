"""Does the spread tell the truth? Held-back years against the band drawn from the others, with honest small
print."""

from tests.forecast_check.held_back import Check, Line, Trial, check_record, check_starts, hidden, line_of
from tests.forecast_check.scores import crps_ensemble, crps_normal, interval_score, pinball
from tests.forecast_check.telling import by_year, in_plain_words, table

__all__ = [
    "Check",
    "Line",
    "Trial",
    "by_year",
    "check_record",
    "check_starts",
    "crps_ensemble",
    "crps_normal",
    "hidden",
    "in_plain_words",
    "interval_score",
    "line_of",
    "pinball",
    "table",
]
