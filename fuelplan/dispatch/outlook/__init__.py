"""What lies ahead of many customers: run-out days, tonnes a week and who is due, over shared winters.

All customers of a weather area go through the same possible winters, so the cold spell that empties one
empties all; sums are made winter by winter before any quantile is taken.
"""

from fuelplan.dispatch.outlook.ahead import (
    SHARES,
    Outlook,
    OutlookSettings,
    outlook_of,
    share_beyond,
    week_ends,
)
from fuelplan.dispatch.outlook.blocks import blocks_of, ground_of, learned_block, learned_here
from fuelplan.dispatch.outlook.deadlines import AHEAD_DAYS, BEYOND_DAYS, last_day_in_time, last_safe_day
from fuelplan.dispatch.outlook.doubted import Doubted, weigh_readings
from fuelplan.dispatch.outlook.draws import CustomerDraws, CustomerStores, Summary, deviates, draws_of_summary
from fuelplan.dispatch.outlook.learned import (
    SEASON,
    CustomersLearned,
    Season,
    learned_of,
    season_of,
    summary_of,
    unsolved,
)
from fuelplan.dispatch.outlook.levels import LevelTable, deliver_by_day, fuller_by_kg, level_table
from fuelplan.dispatch.outlook.plain import burned_kg as use_paths
from fuelplan.dispatch.outlook.plain import outlook_of_draws
from fuelplan.dispatch.outlook.priors import StatedUse, base_shift_c, priors_of
from fuelplan.dispatch.outlook.shared_winters import (
    LEARN_DAYS,
    AreaRecord,
    draws_for,
    rows_agree,
    shared_winters,
)
from fuelplan.dispatch.outlook.tables import OutlookError, WinterTables, winter_tables
from fuelplan.dispatch.outlook.told import Drops, Looks, customer_books, last_told

__all__ = [
    "AHEAD_DAYS",
    "BEYOND_DAYS",
    "LEARN_DAYS",
    "SEASON",
    "SHARES",
    "AreaRecord",
    "CustomerDraws",
    "CustomerStores",
    "CustomersLearned",
    "Doubted",
    "Drops",
    "LevelTable",
    "Looks",
    "Outlook",
    "OutlookError",
    "OutlookSettings",
    "Season",
    "StatedUse",
    "Summary",
    "WinterTables",
    "base_shift_c",
    "blocks_of",
    "customer_books",
    "deliver_by_day",
    "deviates",
    "draws_for",
    "draws_of_summary",
    "fuller_by_kg",
    "ground_of",
    "last_day_in_time",
    "last_safe_day",
    "last_told",
    "learned_block",
    "learned_here",
    "learned_of",
    "level_table",
    "outlook_of",
    "outlook_of_draws",
    "priors_of",
    "rows_agree",
    "season_of",
    "share_beyond",
    "shared_winters",
    "summary_of",
    "unsolved",
    "use_paths",
    "week_ends",
    "weigh_readings",
    "winter_tables",
]  # fmt: skip
