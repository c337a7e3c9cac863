"""What a driver's day must keep to."""

from __future__ import annotations

from dataclasses import dataclass

Window = tuple[float, float]

# Less than this is rounding noise. [h]
TINY_H = 1e-9


@dataclass(frozen=True)
class Rules:
    """What a driver's day must keep to. Hours, and hours of the clock (6.5 = half past six).

    Attributes
    ----------
    driving_h_per_day
        Driving in one day.
    driving_before_break_h, break_h
        Driving after which a break is due, and how long it is.
    first_part_h, second_part_h
        The split break: at least this, and later at least that.
    work_before_break_h
        Work of any kind without a break.
    work_break_h, long_work_h, long_work_break_h
        Breaks of a day with more than `work_before_break_h` of work, and of one with more than `long_work_h`.
    normal_work_h, most_work_h
        Work paid as usual, what is above is overtime; and the most that a day may have, driving included. [h]
    longest_shift_h
        From leaving to being back.
    shift_start_h, latest_end_h
        Hours of the clock.
    waiting_is_break
        Whether waiting of at least `first_part_h` counts as a break.
    """

    driving_h_per_day: float = 9.0
    driving_before_break_h: float = 4.5
    break_h: float = 0.75
    first_part_h: float = 0.25
    second_part_h: float = 0.5
    work_before_break_h: float = 6.0
    work_break_h: float = 0.5
    long_work_h: float = 9.0
    long_work_break_h: float = 0.75
    normal_work_h: float = 8.0
    most_work_h: float = 1e6
    longest_shift_h: float = 13.0
    shift_start_h: float = 6.0
    latest_end_h: float = 19.0
    waiting_is_break: bool = True

    def __post_init__(self) -> None:
        """Refuse rules that cannot be kept or contradict each other."""
        for name in ("driving_before_break_h", "work_before_break_h", "driving_h_per_day", "longest_shift_h"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"{name} is {getattr(self, name):g}; give hours above 0")
        for name in ("break_h", "first_part_h", "second_part_h", "work_break_h", "long_work_break_h"):
            if not 0.0 <= getattr(self, name) <= 12.0:
                raise ValueError(f"{name} is {getattr(self, name):g}; give hours from 0 to 12")
        if not self.latest_end_h > self.shift_start_h:
            raise ValueError(
                f"the shift ends at {self.latest_end_h:g} and begins at {self.shift_start_h:g}; "
                "the end must be later (write 25 for one o'clock in the night)"
            )


NO_RULES = Rules(
    driving_h_per_day=1e6,
    driving_before_break_h=1e6,
    work_before_break_h=1e6,
    long_work_h=1e6,
    normal_work_h=1e6,
    longest_shift_h=1e6,
    shift_start_h=0.0,
    latest_end_h=1e6,
)
"""Nothing is asked of the driver: for the bare arithmetic of a run."""
