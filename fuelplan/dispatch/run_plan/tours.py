"""Better orders within one route: pieces turned round or moved elsewhere until nothing gains."""

from __future__ import annotations

from fuelplan.dispatch.run_plan.compiled import inner, jit
from fuelplan.dispatch.run_plan.problem import Floats, Ints, Problem
from fuelplan.dispatch.run_plan.state import SearchState

LEAST_GAIN = 1e-7


@inner
def _turn_pieces(drive: Floats, seq: Ints, length: int, depot: int) -> float:
    """Turn round every piece that gains, once through; return what was gained."""
    gained = 0.0
    for a in range(length - 1):
        before = seq[a - 1] if a > 0 else depot
        for b in range(a + 1, length):
            after = seq[b + 1] if b + 1 < length else depot
            change = (
                drive[before, seq[b]] + drive[seq[a], after] - drive[before, seq[a]] - drive[seq[b], after]
            )
            if change > -LEAST_GAIN:
                continue
            for k in range(a, b):  # roads may differ by direction
                change += drive[seq[k + 1], seq[k]] - drive[seq[k], seq[k + 1]]
            if change < -LEAST_GAIN:
                i, j = a, b
                while i < j:
                    seq[i], seq[j] = seq[j], seq[i]
                    i += 1
                    j -= 1
                gained -= change
    return gained


@inner
def _move_pieces(drive: Floats, seq: Ints, length: int, depot: int) -> float:
    """Move every piece of one to three stops to where it costs least, once through; return the gain."""
    gained = 0.0
    for size in range(1, 4):
        for a in range(length - size + 1):
            b = a + size - 1
            before = seq[a - 1] if a > 0 else depot
            after = seq[b + 1] if b + 1 < length else depot
            saved = drive[before, seq[a]] + drive[seq[b], after] - drive[before, after]
            best, where = -LEAST_GAIN, -1
            for gap in range(length + 1):  # between stop gap - 1 and stop gap
                if a <= gap <= b + 1:
                    continue
                left = seq[gap - 1] if gap > 0 else depot
                right = seq[gap] if gap < length else depot
                change = drive[left, seq[a]] + drive[seq[b], right] - drive[left, right] - saved
                if change < best:
                    best, where = change, gap
            if where < 0:
                continue
            gained -= best
            for _ in range(size):  # one stop of the piece after the other
                if where > b:
                    stop = seq[a]
                    for k in range(a, where - 1):
                        seq[k] = seq[k + 1]
                    seq[where - 1] = stop
                else:
                    stop = seq[b]
                    for k in range(b, where, -1):
                        seq[k] = seq[k - 1]
                    seq[where] = stop
    return gained


@jit
def tidy(p: Problem, s: SearchState, r: int) -> None:
    """Shorten one route by turning pieces round and moving pieces until nothing gains; all sums follow."""
    length = s.length[r]
    if length < 2:
        return
    n_slots = p.slot_type.size
    slot = r % n_slots
    drive = p.drive_cost[p.slot_type[slot]]
    depot = p.use.shape[0] + p.slot_depot[slot]
    seq = s.seq[r]
    whole = 0.0
    for _ in range(50):
        gained = _turn_pieces(drive, seq, length, depot)
        if length > 2:
            gained += _move_pieces(drive, seq, length, depot)
        whole += gained
        if gained <= LEAST_GAIN:
            break
    if whole <= 0.0:
        return
    s.drive_cost[r] -= whole
    hours = p.drive_h[depot, seq[0]] + p.drive_h[seq[length - 1], depot]
    for k in range(length - 1):
        hours += p.drive_h[seq[k], seq[k + 1]]
    hours *= p.slow[r // n_slots]
    s.day_h[p.slot_tanker[slot], r // n_slots] += hours - s.drive_h[r]
    s.drive_h[r] = hours
