"""The only join from a folder and weather to a decision; the public library interface.

Everything is imported when first used, so that looking at a folder does not load what an order needs.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fuelplan.answers.carry import pack_house, unpack_house
    from fuelplan.answers.changes_since import Changes, what_changed
    from fuelplan.answers.file_degree_days import degree_day_methods, degree_days_of_file
    from fuelplan.answers.house_settings import (
        HOUSE_SETTINGS,
        HouseSetting,
        change_settings,
        change_site_text,
        last_change,
        settings_of,
        undo_change,
    )
    from fuelplan.answers.how_big import cellar_of, open_for_sizing, size
    from fuelplan.answers.learn_answer import LearnAnswer, learn
    from fuelplan.answers.new_house import FieldFaults, NewHouse, WeatherFile, draft_house, keep_house
    from fuelplan.answers.order_answer import OrderAnswer
    from fuelplan.answers.outlook_answer import OutlookAnswer, day_of
    from fuelplan.answers.outlook_beliefs import Beliefs, believe
    from fuelplan.answers.outlook_of_round import outlook
    from fuelplan.answers.outlook_weather import RoundWeather, weather_for_round
    from fuelplan.answers.questions import AskedRow, Choice, Question, SetAside
    from fuelplan.answers.record import record_delivery, record_order, record_outcome, record_reading
    from fuelplan.answers.replay_answer import ReplayAnswer
    from fuelplan.answers.replay_of_round import replay, with_moves
    from fuelplan.answers.round_import import RoundImport, column_pairs, look_at_import, take_import
    from fuelplan.answers.runs_depots import runs_by_depot
    from fuelplan.answers.setting import WhatIf
    from fuelplan.answers.settling import settle
    from fuelplan.answers.sheet_import import SheetPlan, SheetRow, guess_plan, import_sheet, preview_sheet
    from fuelplan.answers.size_answer import SizeAnswer
    from fuelplan.answers.weather_of_site import SiteWeather, check_plausible, check_weather, weather_for
    from fuelplan.answers.when_to_order import Prepared, answer_prepared, order, prepare
    from fuelplan.checks import check_folder, today_of
    from fuelplan.checks import open_sound as open_site
    from fuelplan.round_folder import Round, is_round, open_round
    from fuelplan.round_folder.cell_words import guarded as spreadsheet_text
    from fuelplan.site import Fault, Site, SiteFaults
    from fuelplan.site.edit import EditError
    from fuelplan.site.looked import looked_on, remember_look
    from fuelplan.site.new_folder import FolderError
    from fuelplan.site.sheet import Sheet, SheetError, read_sheet
    from fuelplan.site.text_files import write_bytes as save_file
    from fuelplan.site.toml_edit import site_text
    from fuelplan.site.towns import country_names
    from fuelplan.site.undo import Change, UndoError
    from fuelplan.weather_sources import WeatherFault, WeatherUnavailable
    from fuelplan.workers import Crew, WorkersError, crew_of

_WHERE = {
    "runs_by_depot": ("fuelplan.answers.runs_depots", "runs_by_depot"),
    "Crew": ("fuelplan.workers", "Crew"),
    "WorkersError": ("fuelplan.workers", "WorkersError"),
    "crew_of": ("fuelplan.workers", "crew_of"),
    "replay": ("fuelplan.answers.replay_of_round", "replay"),
    "with_moves": ("fuelplan.answers.replay_of_round", "with_moves"),
    "ReplayAnswer": ("fuelplan.answers.replay_answer", "ReplayAnswer"),
    "remember_look": ("fuelplan.site.looked", "remember_look"),
    "looked_on": ("fuelplan.site.looked", "looked_on"),
    "read_sheet": ("fuelplan.site.sheet", "read_sheet"),
    "SheetError": ("fuelplan.site.sheet", "SheetError"),
    "Sheet": ("fuelplan.site.sheet", "Sheet"),
    "import_sheet": ("fuelplan.answers.sheet_import", "import_sheet"),
    "preview_sheet": ("fuelplan.answers.sheet_import", "preview_sheet"),
    "guess_plan": ("fuelplan.answers.sheet_import", "guess_plan"),
    "SheetRow": ("fuelplan.answers.sheet_import", "SheetRow"),
    "SheetPlan": ("fuelplan.answers.sheet_import", "SheetPlan"),
    "unpack_house": ("fuelplan.answers.carry", "unpack_house"),
    "pack_house": ("fuelplan.answers.carry", "pack_house"),
    "site_text": ("fuelplan.site.toml_edit", "site_text"),
    "Change": ("fuelplan.site.undo", "Change"),
    "UndoError": ("fuelplan.site.undo", "UndoError"),
    "EditError": ("fuelplan.site.edit", "EditError"),
    "undo_change": ("fuelplan.answers.house_settings", "undo_change"),
    "settings_of": ("fuelplan.answers.house_settings", "settings_of"),
    "last_change": ("fuelplan.answers.house_settings", "last_change"),
    "change_site_text": ("fuelplan.answers.house_settings", "change_site_text"),
    "change_settings": ("fuelplan.answers.house_settings", "change_settings"),
    "HouseSetting": ("fuelplan.answers.house_settings", "HouseSetting"),
    "HOUSE_SETTINGS": ("fuelplan.answers.house_settings", "HOUSE_SETTINGS"),
    "FolderError": ("fuelplan.site.new_folder", "FolderError"),
    "country_names": ("fuelplan.site.towns", "country_names"),
    "keep_house": ("fuelplan.answers.new_house", "keep_house"),
    "draft_house": ("fuelplan.answers.new_house", "draft_house"),
    "FieldFaults": ("fuelplan.answers.new_house", "FieldFaults"),
    "WeatherFile": ("fuelplan.answers.new_house", "WeatherFile"),
    "NewHouse": ("fuelplan.answers.new_house", "NewHouse"),
    "Beliefs": ("fuelplan.answers.outlook_beliefs", "Beliefs"),
    "OutlookAnswer": ("fuelplan.answers.outlook_answer", "OutlookAnswer"),
    "RunsAnswer": ("fuelplan.answers.runs_answer", "RunsAnswer"),
    "clock": ("fuelplan.answers.runs_answer", "clock"),
    "Noted": ("fuelplan.answers.runs_record", "Noted"),
    "noted": ("fuelplan.answers.runs_record", "noted"),
    "noted_by_name": ("fuelplan.answers.runs_record", "noted_by_name"),
    "take_out": ("fuelplan.answers.runs_record", "take_out"),
    "day_of_happening": ("fuelplan.answers.runs_record", "day_of_happening"),
    "publish_runs": ("fuelplan.answers.runs_record", "publish_runs"),
    "record_happening": ("fuelplan.answers.runs_record", "record_happening"),
    "record_wish": ("fuelplan.answers.runs_record", "record_wish"),
    "runs": ("fuelplan.answers.which_runs", "runs"),
    "Round": ("fuelplan.round_folder", "Round"),
    "RoundWeather": ("fuelplan.answers.outlook_weather", "RoundWeather"),
    "RoundImport": ("fuelplan.answers.round_import", "RoundImport"),
    "column_pairs": ("fuelplan.answers.round_import", "column_pairs"),
    "look_at_import": ("fuelplan.answers.round_import", "look_at_import"),
    "take_import": ("fuelplan.answers.round_import", "take_import"),
    "believe": ("fuelplan.answers.outlook_beliefs", "believe"),
    "day_of": ("fuelplan.answers.outlook_answer", "day_of"),
    "is_round": ("fuelplan.round_folder", "is_round"),
    "open_round": ("fuelplan.round_folder", "open_round"),
    "table_of_round": ("fuelplan.round_folder.folder", "table_of_round"),
    "outlook": ("fuelplan.answers.outlook_of_round", "outlook"),
    "export_place": ("fuelplan.files", "export_place"),
    "save_file": ("fuelplan.site.text_files", "write_bytes"),
    "spreadsheet_text": ("fuelplan.round_folder.cell_words", "guarded"),
    "weather_for_round": ("fuelplan.answers.outlook_weather", "weather_for_round"),
    "Prepared": ("fuelplan.answers.when_to_order", "Prepared"),
    "answer_prepared": ("fuelplan.answers.when_to_order", "answer_prepared"),
    "order": ("fuelplan.answers.when_to_order", "order"),
    "prepare": ("fuelplan.answers.when_to_order", "prepare"),
    "Changes": ("fuelplan.answers.changes_since", "Changes"),
    "what_changed": ("fuelplan.answers.changes_since", "what_changed"),
    "size": ("fuelplan.answers.how_big", "size"),
    "open_for_sizing": ("fuelplan.answers.how_big", "open_for_sizing"),
    "cellar_of": ("fuelplan.answers.how_big", "cellar_of"),
    "SizeAnswer": ("fuelplan.answers.size_answer", "SizeAnswer"),
    "learn": ("fuelplan.answers.learn_answer", "learn"),
    "LearnAnswer": ("fuelplan.answers.learn_answer", "LearnAnswer"),
    "OrderAnswer": ("fuelplan.answers.order_answer", "OrderAnswer"),
    "AskedRow": ("fuelplan.answers.questions", "AskedRow"),
    "Choice": ("fuelplan.answers.questions", "Choice"),
    "Question": ("fuelplan.answers.questions", "Question"),
    "SetAside": ("fuelplan.answers.questions", "SetAside"),
    "settle": ("fuelplan.answers.settling", "settle"),
    "today_of": ("fuelplan.checks", "today_of"),
    "WhatIf": ("fuelplan.answers.setting", "WhatIf"),
    "SiteWeather": ("fuelplan.answers.weather_of_site", "SiteWeather"),
    "weather_for": ("fuelplan.answers.weather_of_site", "weather_for"),
    "check_folder": ("fuelplan.checks", "check_folder"),
    "open_site": ("fuelplan.checks", "open_sound"),
    "Fault": ("fuelplan.site", "Fault"),
    "Site": ("fuelplan.site", "Site"),
    "SiteFaults": ("fuelplan.site", "SiteFaults"),
    "check_plausible": ("fuelplan.answers.weather_of_site", "check_plausible"),
    "check_order": ("fuelplan.answers.would_answer", "check_order"),
    "check_weather": ("fuelplan.answers.weather_of_site", "check_weather"),
    "degree_day_methods": ("fuelplan.answers.file_degree_days", "degree_day_methods"),
    "degree_days_of_file": ("fuelplan.answers.file_degree_days", "degree_days_of_file"),
    "record_delivery": ("fuelplan.answers.record", "record_delivery"),
    "record_order": ("fuelplan.answers.record", "record_order"),
    "record_outcome": ("fuelplan.answers.record", "record_outcome"),
    "record_reading": ("fuelplan.answers.record", "record_reading"),
    "WeatherFault": ("fuelplan.weather_sources", "WeatherFault"),
    "WeatherUnavailable": ("fuelplan.weather_sources", "WeatherUnavailable"),
}

__all__ = [
    "HOUSE_SETTINGS",
    "AskedRow",
    "Beliefs",
    "Change",
    "Changes",
    "Choice",
    "Crew",
    "EditError",
    "Fault",
    "FieldFaults",
    "FolderError",
    "HouseSetting",
    "LearnAnswer",
    "NewHouse",
    "Noted",
    "OrderAnswer",
    "OutlookAnswer",
    "Prepared",
    "Question",
    "ReplayAnswer",
    "Round",
    "RoundImport",
    "RoundWeather",
    "RunsAnswer",
    "SetAside",
    "Sheet",
    "SheetError",
    "SheetPlan",
    "SheetRow",
    "Site",
    "SiteFaults",
    "SiteWeather",
    "SizeAnswer",
    "UndoError",
    "WeatherFault",
    "WeatherFile",
    "WeatherUnavailable",
    "WhatIf",
    "WorkersError",
    "answer_prepared",
    "believe",
    "cellar_of",
    "change_settings",
    "change_site_text",
    "check_folder",
    "check_plausible",
    "check_weather",
    "clock",
    "column_pairs",
    "country_names",
    "crew_of",
    "day_of",
    "degree_day_methods",
    "degree_days_of_file",
    "draft_house",
    "guess_plan",
    "import_sheet",
    "is_round",
    "keep_house",
    "last_change",
    "learn",
    "look_at_import",
    "looked_on",
    "noted",
    "noted_by_name",
    "open_for_sizing",
    "open_round",
    "open_site",
    "order",
    "outlook",
    "pack_house",
    "prepare",
    "preview_sheet",
    "publish_runs",
    "read_sheet",
    "record_delivery",
    "record_happening",
    "record_order",
    "record_outcome",
    "record_reading",
    "record_wish",
    "remember_look",
    "replay",
    "runs",
    "runs_by_depot",
    "save_file",
    "settings_of",
    "settle",
    "site_text",
    "size",
    "spreadsheet_text",
    "take_import",
    "take_out",
    "today_of",
    "undo_change",
    "unpack_house",
    "weather_for",
    "weather_for_round",
    "what_changed",
    "with_moves",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """Import a public name on first use (PEP 562)."""
    if name not in _WHERE:
        raise AttributeError(f"module 'fuelplan.answers' has no attribute {name!r}")
    module, attribute = _WHERE[name]
    return getattr(import_module(module), attribute)
