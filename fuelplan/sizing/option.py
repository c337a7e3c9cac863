"""One store size over all winters: what it does, what it costs, and why it does not work."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.messages import Message, codes, counted_message, message

COST_TOLERANCE = 0.03  # sizes within this of the cheapest cost as good as the same
NEVER_WORKS = "sizing.can_never_work"
"""The code of the problem that no weather mends: the smallest drop does not fit above the reserve."""


@dataclass(frozen=True)
class SizeOption:
    """One store size over all winters.

    Attributes
    ----------
    room_m3, usable_m3, usable_kg
        Room taken up, full store, usable stock. [m3, m3, kg]
    deliveries_per_year, mean_drop_kg
        Means. [1/year, kg]
    empty_winters, winters, real_winters
        In how many of how many winters the store ran empty, and how many of these are real past ones; the
        rest are simulated.
    empty_risk_per_year, empty_risk_high
        Their share, and the most it may well be by the real winters alone (upper end of a 90 % Wilson
        interval: few winters prove little, and none prove nothing). [0..1]
    lowest_kg
        Lowest usable stock of all winters. [kg]
    years_stock
        Usable stock over mean yearly use. [years]
    fuel_cost, store_cost, money_cost, yearly_cost
        Mean fuel (with season, drop size and bags bought in an emergency), store, interest on the stock,
        and their sum. [money/year]
    tied_up
        Money in the mean stock. [money]
    summer_filling
        Whether topping up in the cheap months was the better rule.
    works
        Takes the smallest economic drop above the reserve, and is not emptied more often than accepted.
    problem
        Why it does not work, as what is said of a size: "runs empty in 3 of 25 winters: …"; None where it
        does.
    """

    room_m3: float
    usable_m3: float
    usable_kg: float
    deliveries_per_year: float
    mean_drop_kg: float
    empty_winters: int
    winters: int
    real_winters: int
    empty_risk_per_year: float
    empty_risk_high: float
    lowest_kg: float
    years_stock: float
    fuel_cost: float
    store_cost: float
    money_cost: float
    yearly_cost: float
    tied_up: float
    summer_filling: bool
    works: bool
    problem: Message | None

    @property
    def never_works(self) -> bool:
        """Whether it is too small for the smallest drop above the reserve, whatever the weather."""
        return self.problem is not None and NEVER_WORKS in codes(self.problem)

    @property
    def winters_said(self) -> Message:
        """The winters it was played through: "25 winters", "6 past and 24 simulated winters"."""
        return winters_said(self.winters, self.real_winters)


def winters_said(winters: int, real: int) -> Message:
    """Return how many winters there are and how many of them are real."""
    made = max(0, winters - real)
    if not made:
        return counted_message("sizing.winters", "{n} winter", "{n} winters", winters)
    if not real:
        return counted_message(
            "sizing.simulated_winters", "{n} simulated winter", "{n} simulated winters", made
        )
    return message(
        "sizing.past_and_simulated_winters",
        "{past} past and {simulated} simulated winters",
        past=real,
        simulated=made,
    )
