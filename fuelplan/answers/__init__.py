"""The only join from a folder and weather to a decision; the public library interface.

Everything is imported when first used, so that looking at a folder does not load what an order needs.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fuelplan.answers.house.archive import pack_house, unpack_house
    from fuelplan.answers.house.new import FieldFaults, NewHouse, WeatherFile, draft_house, keep_house
    from fuelplan.answers.house.record import record_delivery, record_order, record_outcome, record_reading
    from fuelplan.answers.house.settings import (
        HOUSE_SETTINGS,
        HouseSetting,
        change_settings,
        change_site_text,
        last_change,
        settings_of,
        undo_change,
    )
    from fuelplan.answers.house.settling import settle
    from fuelplan.answers.house.sheet_import import (
        SheetPlan,
        SheetRow,
        guess_plan,
        import_sheet,
        preview_sheet,
    )
    from fuelplan.answers.how_big.answer import SizeAnswer
    from fuelplan.answers.how_big.size import cellar_of, open_for_sizing, size
    from fuelplan.answers.past_winters.answer import ReplayAnswer
    from fuelplan.answers.past_winters.replay import replay, with_moves
    from fuelplan.answers.round.importing import RoundImport, column_pairs, look_at_import, take_import
    from fuelplan.answers.setting import WhatIf
    from fuelplan.answers.weather_of_site import SiteWeather, check_plausible, check_weather, weather_for
    from fuelplan.answers.what_we_burn.degree_days import degree_day_methods, degree_days_of_file
    from fuelplan.answers.what_we_burn.learn import LearnAnswer, learn
    from fuelplan.answers.when_to_order.answer import OrderAnswer
    from fuelplan.answers.when_to_order.changes_since import Changes, what_changed
    from fuelplan.answers.when_to_order.order import Prepared, answer_prepared, order, prepare
    from fuelplan.answers.when_to_order.questions import AskedRow, Choice, Question, SetAside
    from fuelplan.answers.which_runs.depots import runs_by_depot
    from fuelplan.answers.who_is_due.answer import OutlookAnswer, day_of
    from fuelplan.answers.who_is_due.beliefs import Beliefs, believe
    from fuelplan.answers.who_is_due.outlook import outlook
    from fuelplan.answers.who_is_due.weather import RoundWeather, weather_for_round
    from fuelplan.records.round import Round, is_round, open_round
    from fuelplan.records.round.cell_words import guarded as spreadsheet_text
    from fuelplan.records.site import Fault, Site, SiteFaults
    from fuelplan.records.site.checks import check_folder, today_of
    from fuelplan.records.site.checks import open_sound as open_site
    from fuelplan.records.site.edit import EditError
    from fuelplan.records.site.looked import looked_on, remember_look
    from fuelplan.records.site.new_folder import FolderError
    from fuelplan.records.site.sheet import Sheet, SheetError, read_sheet
    from fuelplan.records.site.text_files import write_bytes as save_file
    from fuelplan.records.site.toml_edit import site_text
    from fuelplan.records.site.towns import country_names
    from fuelplan.records.site.undo import Change, UndoError
    from fuelplan.weather.sources import WeatherFault, WeatherUnavailable
    from fuelplan.workers import Crew, WorkersError, crew_of

_WHERE = {
    "runs_by_depot": ("fuelplan.answers.which_runs.depots", "runs_by_depot"),
    "Crew": ("fuelplan.workers", "Crew"),
    "WorkersError": ("fuelplan.workers", "WorkersError"),
    "crew_of": ("fuelplan.workers", "crew_of"),
    "replay": ("fuelplan.answers.past_winters.replay", "replay"),
    "with_moves": ("fuelplan.answers.past_winters.replay", "with_moves"),
    "ReplayAnswer": ("fuelplan.answers.past_winters.answer", "ReplayAnswer"),
    "remember_look": ("fuelplan.records.site.looked", "remember_look"),
    "looked_on": ("fuelplan.records.site.looked", "looked_on"),
    "read_sheet": ("fuelplan.records.site.sheet", "read_sheet"),
    "SheetError": ("fuelplan.records.site.sheet", "SheetError"),
    "Sheet": ("fuelplan.records.site.sheet", "Sheet"),
    "import_sheet": ("fuelplan.answers.house.sheet_import", "import_sheet"),
    "preview_sheet": ("fuelplan.answers.house.sheet_import", "preview_sheet"),
    "guess_plan": ("fuelplan.answers.house.sheet_import", "guess_plan"),
    "SheetRow": ("fuelplan.answers.house.sheet_import", "SheetRow"),
    "SheetPlan": ("fuelplan.answers.house.sheet_import", "SheetPlan"),
    "unpack_house": ("fuelplan.answers.house.archive", "unpack_house"),
    "pack_house": ("fuelplan.answers.house.archive", "pack_house"),
    "site_text": ("fuelplan.records.site.toml_edit", "site_text"),
    "Change": ("fuelplan.records.site.undo", "Change"),
    "UndoError": ("fuelplan.records.site.undo", "UndoError"),
    "EditError": ("fuelplan.records.site.edit", "EditError"),
    "undo_change": ("fuelplan.answers.house.settings", "undo_change"),
    "settings_of": ("fuelplan.answers.house.settings", "settings_of"),
    "last_change": ("fuelplan.answers.house.settings", "last_change"),
    "change_site_text": ("fuelplan.answers.house.settings", "change_site_text"),
    "change_settings": ("fuelplan.answers.house.settings", "change_settings"),
    "HouseSetting": ("fuelplan.answers.house.settings", "HouseSetting"),
    "HOUSE_SETTINGS": ("fuelplan.answers.house.settings", "HOUSE_SETTINGS"),
    "FolderError": ("fuelplan.records.site.new_folder", "FolderError"),
    "country_names": ("fuelplan.records.site.towns", "country_names"),
    "keep_house": ("fuelplan.answers.house.new", "keep_house"),
    "draft_house": ("fuelplan.answers.house.new", "draft_house"),
    "FieldFaults": ("fuelplan.answers.house.new", "FieldFaults"),
    "WeatherFile": ("fuelplan.answers.house.new", "WeatherFile"),
    "NewHouse": ("fuelplan.answers.house.new", "NewHouse"),
    "Beliefs": ("fuelplan.answers.who_is_due.beliefs", "Beliefs"),
    "OutlookAnswer": ("fuelplan.answers.who_is_due.answer", "OutlookAnswer"),
    "RunsAnswer": ("fuelplan.answers.which_runs.answer", "RunsAnswer"),
    "clock": ("fuelplan.answers.which_runs.answer", "clock"),
    "Noted": ("fuelplan.answers.which_runs.record", "Noted"),
    "noted": ("fuelplan.answers.which_runs.record", "noted"),
    "noted_by_name": ("fuelplan.answers.which_runs.record", "noted_by_name"),
    "take_out": ("fuelplan.answers.which_runs.record", "take_out"),
    "day_of_happening": ("fuelplan.answers.which_runs.record", "day_of_happening"),
    "publish_runs": ("fuelplan.answers.which_runs.record", "publish_runs"),
    "record_happening": ("fuelplan.answers.which_runs.record", "record_happening"),
    "record_wish": ("fuelplan.answers.which_runs.record", "record_wish"),
    "runs": ("fuelplan.answers.which_runs.runs", "runs"),
    "Round": ("fuelplan.records.round", "Round"),
    "RoundWeather": ("fuelplan.answers.who_is_due.weather", "RoundWeather"),
    "RoundImport": ("fuelplan.answers.round.importing", "RoundImport"),
    "column_pairs": ("fuelplan.answers.round.importing", "column_pairs"),
    "look_at_import": ("fuelplan.answers.round.importing", "look_at_import"),
    "take_import": ("fuelplan.answers.round.importing", "take_import"),
    "believe": ("fuelplan.answers.who_is_due.beliefs", "believe"),
    "day_of": ("fuelplan.answers.who_is_due.answer", "day_of"),
    "is_round": ("fuelplan.records.round", "is_round"),
    "open_round": ("fuelplan.records.round", "open_round"),
    "table_of_round": ("fuelplan.records.round.folder", "table_of_round"),
    "outlook": ("fuelplan.answers.who_is_due.outlook", "outlook"),
    "export_place": ("fuelplan.files", "export_place"),
    "save_file": ("fuelplan.records.site.text_files", "write_bytes"),
    "spreadsheet_text": ("fuelplan.records.round.cell_words", "guarded"),
    "weather_for_round": ("fuelplan.answers.who_is_due.weather", "weather_for_round"),
    "Prepared": ("fuelplan.answers.when_to_order.order", "Prepared"),
    "answer_prepared": ("fuelplan.answers.when_to_order.order", "answer_prepared"),
    "order": ("fuelplan.answers.when_to_order.order", "order"),
    "prepare": ("fuelplan.answers.when_to_order.order", "prepare"),
    "Changes": ("fuelplan.answers.when_to_order.changes_since", "Changes"),
    "what_changed": ("fuelplan.answers.when_to_order.changes_since", "what_changed"),
    "size": ("fuelplan.answers.how_big.size", "size"),
    "open_for_sizing": ("fuelplan.answers.how_big.size", "open_for_sizing"),
    "cellar_of": ("fuelplan.answers.how_big.size", "cellar_of"),
    "SizeAnswer": ("fuelplan.answers.how_big.answer", "SizeAnswer"),
    "learn": ("fuelplan.answers.what_we_burn.learn", "learn"),
    "LearnAnswer": ("fuelplan.answers.what_we_burn.learn", "LearnAnswer"),
    "OrderAnswer": ("fuelplan.answers.when_to_order.answer", "OrderAnswer"),
    "AskedRow": ("fuelplan.answers.when_to_order.questions", "AskedRow"),
    "Choice": ("fuelplan.answers.when_to_order.questions", "Choice"),
    "Question": ("fuelplan.answers.when_to_order.questions", "Question"),
    "SetAside": ("fuelplan.answers.when_to_order.questions", "SetAside"),
    "settle": ("fuelplan.answers.house.settling", "settle"),
    "today_of": ("fuelplan.records.site.checks", "today_of"),
    "WhatIf": ("fuelplan.answers.setting", "WhatIf"),
    "SiteWeather": ("fuelplan.answers.weather_of_site", "SiteWeather"),
    "weather_for": ("fuelplan.answers.weather_of_site", "weather_for"),
    "check_folder": ("fuelplan.records.site.checks", "check_folder"),
    "open_site": ("fuelplan.records.site.checks", "open_sound"),
    "Fault": ("fuelplan.records.site", "Fault"),
    "Site": ("fuelplan.records.site", "Site"),
    "SiteFaults": ("fuelplan.records.site", "SiteFaults"),
    "check_plausible": ("fuelplan.answers.weather_of_site", "check_plausible"),
    "check_order": ("fuelplan.answers.when_to_order.would_answer", "check_order"),
    "check_weather": ("fuelplan.answers.weather_of_site", "check_weather"),
    "degree_day_methods": ("fuelplan.answers.what_we_burn.degree_days", "degree_day_methods"),
    "degree_days_of_file": ("fuelplan.answers.what_we_burn.degree_days", "degree_days_of_file"),
    "record_delivery": ("fuelplan.answers.house.record", "record_delivery"),
    "record_order": ("fuelplan.answers.house.record", "record_order"),
    "record_outcome": ("fuelplan.answers.house.record", "record_outcome"),
    "record_reading": ("fuelplan.answers.house.record", "record_reading"),
    "WeatherFault": ("fuelplan.weather.sources", "WeatherFault"),
    "WeatherUnavailable": ("fuelplan.weather.sources", "WeatherUnavailable"),
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
