"""Where the numbers of an order answer come from, a sentence each."""

from __future__ import annotations

from fuelplan.answers.when_to_order.answer import FuelUse, OrderAnswer, WeatherNote
from fuelplan.heat import fuels
from fuelplan.messages import (
    Day,
    Message,
    Own,
    Quantity,
    Range,
    as_message,
    counted_message,
    message,
    paragraph,
)


def origin(answer: OrderAnswer) -> tuple[Message, ...]:
    """Return where the numbers come from: the weather with the thanks its licence asks for, what stands
    behind chances and figures, and what gives the same answer again.
    """
    return (
        *_weather(answer.weather),
        *answer.explanation,
        *map(_burned, answer.use_kg),
        message(
            "order.origin_seed",
            "The same folder, day and seed ({seed}) always give the same answer.",
            seed=Own(str(answer.seed)),
        ),
    )


def _weather(weather: WeatherNote) -> list[Message]:
    said = [_source(weather)]
    if weather.attribution:
        said.append(
            message(
                "order.origin_attribution",
                "Source of the weather data: {attribution}",
                attribution=Own(weather.attribution),
            )
        )
    if weather.forecast_days:
        said.append(
            counted_message(
                "order.origin_forecast",
                "A forecast of {n} day is used first.",
                "A forecast of {n} days is used first.",
                weather.forecast_days,
            )
        )
    return [*said, paragraph([_draws(weather.draws), _winters(weather.winters)])]


def _source(weather: WeatherNote) -> Message:
    if weather.first_day is None or weather.last_day is None:
        return message(
            "order.origin_weather_short",
            "Weather: {source}, {winters} past winters.",
            source=as_message(weather.source),
            winters=weather.winters,
        )
    return message(
        "order.origin_weather",
        "Weather: {source}, {winters} past winters from {first} to {last}.",
        source=as_message(weather.source),
        winters=weather.winters,
        first=Day(weather.first_day, year=True),
        last=Day(weather.last_day, year=True),
    )


def _draws(draws: int) -> Message:
    return message(
        "order.origin_draws",
        "{draws} draws stand behind every chance and range: a past winter, how your building burns, how "
        "exact your reading is and how long the supplier takes, drawn together.",
        draws=draws,
    )


def _winters(winters: int) -> Message:
    if winters == 0:
        return message(
            "order.origin_no_winter", "No real winter stands behind them: every winter is simulated."
        )
    return message(
        "order.origin_winters",
        "The draws come from {winters} real winters; they cannot prove a chance as small as 1 in 1,000.",
        winters=winters,
    )


def _burned(use: FuelUse) -> Message:
    return counted_message(
        "order.origin_burned",
        "Burned in the next {n} day: about {amount} of {fuel} ({range}).",
        "Burned in the next {n} days: about {amount} of {fuel} ({range}).",
        use.days,
        amount=Quantity(use.p50, "mass"),
        fuel=fuels.fuel(use.fuel).word,
        range=Range(use.p10, use.p90, "mass"),
    )
