"""Weather as the house uses it: records with provenance, gaps, blending and many possible winters. No input or output."""

from fuelplan.weather.record import DailyWeather, Forecast, Origin, Place, Source, Winters

__all__ = ["DailyWeather", "Forecast", "Origin", "Place", "Source", "Winters"]
