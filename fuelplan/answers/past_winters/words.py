"""What a replay says: what planning saves against each rule, how sure that is, and what it rests on."""

from __future__ import annotations

import math

from fuelplan.dispatch.replay import Against, PolicySummary, WinterInterval
from fuelplan.messages import Message, Own, Percent, counted_message, message

POLICY_WORDS = {
    "plan": message("replay.the_plan", "the plan"),
    "rings": message("replay.when_they_ring", "serving customers when they ring"),
    "k-factor": message("replay.k_factor_rule", "the K-factor rule"),
}
SAME_COST = 0.005
"""A difference in cost below this share is told as none."""

HOUSEHOLDS = message(
    "replay.households", "households drawn from what the round's books tell of each customer"
)
NOTES = (
    message(
        "replay.nothing_fails",
        "Depots hold enough, tankers never break down, no road is snowed in, and nobody is stopped for "
        "credit.",
    ),
    message(
        "replay.empty_rings",
        "Whoever finds the store empty rings at once and is served as soon as possible, in every policy; "
        "on-request customers ring by themselves in every policy.",
    ),
    message(
        "replay.books_before",
        "The books before each winter were made by serving customers when they rang, for two years.",
    ),
    message(
        "replay.shared_winters",
        "Run-outs are shared by all customers of a cold winter: the intervals go by winter, and a harder "
        "winter than those played is not in them.",
    ),
)


def sentences_of(
    policies: tuple[PolicySummary, ...], differences: tuple[Against, ...], winters: tuple[str, ...],
    top_up_share: float,
) -> tuple[Message, ...]:  # fmt: skip
    """Return what planning saves against each rule, with its doubt, and what that rests on."""
    of = {p.name: p for p in policies}
    played = message(
        "replay.played",
        "Played day by day over {winters} winters ({first} to {last}), with {share} of the customers on "
        "top-up; nothing was looked up before its day.",
        winters=len(winters), first=Own(winters[0]), last=Own(winters[-1]), share=Percent(top_up_share),
    )  # fmt: skip
    return (*(_saved(d, of[d.name], of[d.against]) for d in differences), played)


def _saved(d: Against, plan: PolicySummary, rule: PolicySummary) -> Message:
    return message(
        "replay.against",
        "Against {rule}, {policy}: {drives}, {costs}, and {times} a store ran empty, against {rule_times}.",
        rule=policy_words(d.against),
        policy=policy_words(d.name),
        drives=_drives(d.km_per_t_less),
        costs=_costs(d.cost_per_t_less),
        times=_times(plan.run_outs),
        rule_times=_times(rule.run_outs),
    )


def policy_words(name: str) -> Message | Own:
    """Return what a policy is called in a sentence."""
    return POLICY_WORDS.get(name) or Own(name)


def _drives(less: WinterInterval) -> Message:
    if math.isnan(less.mean):
        return message("replay.too_few", "too few deliveries to tell its kilometres")
    if less.low <= 0 <= less.high:
        return message(
            "replay.not_settled",
            "whether it drives fewer kilometres for each tonne is not settled (from {more} more to {fewer} "
            "fewer)",
            more=Percent(-less.low), fewer=Percent(less.high),
        )  # fmt: skip
    low, high = sorted((abs(less.low), abs(less.high)))
    if less.mean > 0:
        return message(
            "replay.fewer_km",
            "it drives {mean} fewer kilometres for each tonne ({low} to {high})",
            mean=Percent(less.mean), low=Percent(low), high=Percent(high),
        )  # fmt: skip
    return message(
        "replay.more_km",
        "it drives {mean} more kilometres for each tonne ({low} to {high})",
        mean=Percent(-less.mean), low=Percent(low), high=Percent(high),
    )  # fmt: skip


def _costs(less: WinterInterval) -> Message:
    if math.isnan(less.mean) or abs(less.mean) < SAME_COST:
        return message("replay.same_cost", "costs about as much")
    if less.mean > 0:
        return message("replay.costs_less", "costs {share} less a tonne", share=Percent(less.mean))
    return message("replay.costs_more", "costs {share} more a tonne", share=Percent(-less.mean))


def _times(count: int) -> Message:
    if count == 0:
        return message("replay.not_once", "not once")
    return counted_message("replay.times", "once", "{n} times", count)
