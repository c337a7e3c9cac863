"""Every text about logs and upkeep on the householder's page."""

from __future__ import annotations

from fuelplan.messages import message

TITLE = message("logs_page.title", "Logs")
TONIGHT = message("logs_page.tonight", "Tonight")
UPKEEP_TITLE = message("logs_page.upkeep_title", "To do in the year")
UPKEEP_HEAD = (
    message("logs_page.upkeep_when", "When"),
    message("logs_page.upkeep_what", "What"),
    message("logs_page.upkeep_why", "Why and how"),
)
UPKEEP_CAUTIONS = message("logs_page.upkeep_cautions", "Before you do it: what can hurt you")
