"""What lies ahead of many customers: run-out days, tonnes a week and who is due, over shared winters.

All customers of a weather area go through the same possible winters, so the cold spell that empties one
empties all; sums are made winter by winter before any quantile is taken.
"""

from fuelplan.dispatch.outlook.ahead import (
    SHARES,
    ChunkOutlook,
    Outlook,
    asked,
    joined,
    outlook_of,
    week_ends,
)
from fuelplan.dispatch.outlook.blocks import block_outlook, blocks_of, ground_of
from fuelplan.dispatch.outlook.doubted import Doubted, weigh_readings
from fuelplan.dispatch.outlook.draws import CustomerDraws, CustomerStores, Summary, deviates, draws_of_summary
from fuelplan.dispatch.outlook.learned import draws_of, summary_of, unsolved
from fuelplan.dispatch.outlook.levels import LevelTable, deliver_by_day, level_table
from fuelplan.dispatch.outlook.many import RunOutDays, run_out_days
from fuelplan.dispatch.outlook.plain import burned_kg as use_paths
from fuelplan.dispatch.outlook.tables import OutlookError, WinterTables, winter_tables

__all__ = [
    "SHARES",
    "ChunkOutlook",
    "CustomerDraws",
    "CustomerStores",
    "Doubted",
    "LevelTable",
    "Outlook",
    "OutlookError",
    "RunOutDays",
    "Summary",
    "WinterTables",
    "asked",
    "block_outlook",
    "blocks_of",
    "deliver_by_day",
    "deviates",
    "draws_of",
    "draws_of_summary",
    "ground_of",
    "joined",
    "level_table",
    "outlook_of",
    "run_out_days",
    "summary_of",
    "unsolved",
    "use_paths",
    "week_ends",
    "weigh_readings",
    "winter_tables",
]  # fmt: skip
