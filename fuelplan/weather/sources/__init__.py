"""Where weather comes from: the only room that reads weather files, the network, and the store of what was
fetched."""

from fuelplan.weather.sources.loading import load, load_with_fallback
from fuelplan.weather.sources.requests import (
    FileRequest,
    Loaded,
    MeteostatRequest,
    MonthlyRequest,
    Request,
    WeatherFault,
    WeatherUnavailable,
)
from fuelplan.weather.sources.text_rows import cells, guess_separator

__all__ = [
    "FileRequest",
    "Loaded",
    "MeteostatRequest",
    "MonthlyRequest",
    "Request",
    "WeatherFault",
    "WeatherUnavailable",
    "cells",
    "guess_separator",
    "load",
    "load_with_fallback",
]
