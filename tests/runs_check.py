"""What a run plan must never do, worked out from the round's own tables and the answer alone."""

from __future__ import annotations

from collections import defaultdict

from fuelplan.answers import Round, RunsAnswer

MINUTE = 1 / 60 + 1e-6


def wrong(round_: Round, answer: RunsAnswer) -> list[str]:
    """Return everything a plan breaks: access, classes, chambers, hours, days, stock of the depots, order of
    times.
    """
    c, table = round_.customers, round_.table
    tankers = {k.name: k for k in table.tankers}
    out = []
    loaded: dict[tuple[str, str], float] = defaultdict(float)
    seen: set[tuple[object, str, str]] = set()
    for run in answer.runs:
        tanker = tankers[run.tanker]
        where = f"{run.day} {run.tanker} {run.trip}"
        by_class: dict[str, float] = defaultdict(float)
        clock = run.leave_h
        for s in run.stops:
            i = c.number_of[s.customer]
            if c.hose_m[i] > tanker.hose_m or c.max_width_m[i] < tanker.width_m:
                out.append(f"{where}: cannot reach {s.customer}")
            if c.max_weight_kg[i] < (tanker.laden_weight_kg or 0):
                out.append(f"{where}: too heavy for {s.customer}")
            if not c.takes[i, table.classes.index(s.klass)]:
                out.append(f"{where}: {s.customer} does not take {s.klass}")
            if not c.weekdays[i, run.day.weekday()]:
                out.append(f"{where}: {s.customer} is shut that day")
            if not c.from_h[i] - MINUTE <= s.start_h <= c.to_h[i] + MINUTE:
                out.append(f"{where}: {s.customer} begins at {s.start_h}")
            if c.credit_stop[i]:
                out.append(f"{where}: {s.customer} has a credit stop")
            if s.order is None and s.kg < min(c.smallest_drop_kg[i], c.store_kg[i]) - 1:
                out.append(f"{where}: {s.customer} gets {s.kg}")
            if s.kg > c.store_kg[i] + 1:
                out.append(f"{where}: {s.customer} gets {s.kg} into {c.store_kg[i]}")
            if not clock - MINUTE <= s.arrive_h <= s.start_h + 1e-9 <= s.leave_h:
                out.append(f"{where}: times of {s.customer} run backwards")
            key = (run.day, s.customer, s.klass)
            if key in seen:
                out.append(f"{where}: {s.customer} twice a day")
            seen.add(key)
            clock = s.leave_h
            by_class[s.klass] += s.kg
            loaded[tanker.depot, s.klass] += s.kg
        if clock - MINUTE > run.back_by_h:
            out.append(f"{where}: back before the last stop ends")
        if (
            run.back_by_h > table.driver.latest_end_h + MINUTE
            or run.leave_h < table.driver.shift_start_h - MINUTE
        ):
            out.append(f"{where}: out from {run.leave_h} to {run.back_by_h}")
        if run.driving_h > table.driver.driving_a_day_h + MINUTE:
            out.append(f"{where}: {run.driving_h} h of driving")
        if sum(by_class.values()) > tanker.carries_kg + 1:
            out.append(f"{where}: carries {sum(by_class.values())}")
        if run.chambers:
            in_chambers: dict[str, float] = defaultdict(float)
            for chamber in run.chambers:
                in_chambers[chamber.klass] += chamber.kg
                if chamber.kg > chamber.holds_kg + 1:
                    out.append(f"{where}: a chamber is overfull")
            in_chambers.pop("", None)
            if any(abs(in_chambers[k] - kg) > 2 for k, kg in by_class.items()):
                out.append(f"{where}: chambers {dict(in_chambers)} for {dict(by_class)}")
    for depot in table.depots:
        for klass in table.classes:
            if depot.stock_kg is not None:
                has = depot.stock_kg.get(klass, 0) + sum(
                    a.amount_kg for a in depot.arriving if a.klass == klass
                )
                if loaded[depot.name, klass] > has + 1:
                    out.append(f"{depot.name} loads {loaded[depot.name, klass]} of {has} {klass}")
    return out
