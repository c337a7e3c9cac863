"""What the dispatcher's page says: constants, and functions where values stand in a text."""

from __future__ import annotations

from datetime import date

from fuelplan.messages import Day, Message, Own, Percent, Value, counted_message, message

PERSON = message("runs_page.person", "You send out the tankers")
QUESTION = message("runs_page.question", "Which runs this week?")
PROMISE = message(
    "runs_page.promise",
    "Whom to serve on which day with which tanker, whom to ring, which promise is in danger, and how many "
    "tonnes to buy in.",
)
OPEN = message("runs_page.open", "See the runs →")

# Which round, which day
ROUND = message("runs_page.round", "Round")
ROUND_HELP = message(
    "runs_page.round_help", "Folders with a round.toml: the one given at the start, and the demo round."
)
DAY = message("runs_page.day", "Plan as of the evening of")
CHANGE = message("runs_page.change", "Round, day and units")
NO_ROUND_TITLE = message("runs_page.no_round_title", "No round to show yet")
NO_ROUND = message(
    "runs_page.no_round", "Start with a folder that holds a round.toml, for example: fuelplan app my_round"
)


def demo(name: str) -> Message:
    """Return what the chooser shows for a demo."""
    return message("runs_page.demo", "{name} (demo)", name=Own(name))


def copy(name: str) -> Message:
    """Return what the chooser shows for a copy."""
    return message("runs_page.copy", "{name} (copy to try things on)", name=Own(name))


def demo_note(day: date) -> Message:
    """Return what to know of a demo."""
    return message(
        "runs_page.demo_note",
        "A demo with invented customers and weather, played on {day}. To publish runs or note what "
        "happened, try on a copy: it lives until the program ends.",
        day=Day(day, year=True),
    )


DEMO_COPY = message("runs_page.demo_copy", "Make a copy to try things on")


def copied(name: str) -> Message:
    """Return that a copy was made."""
    return message(
        "runs_page.copied",
        "This is your copy of {name}: try anything, the demo itself stays as it is.",
        name=Own(name),
    )


# Work
READING_ROUND = message("runs_page.reading_round", "Reading the round …")
WAITING = message("runs_page.waiting", "Another plan is being worked out first …")
LOOKING_AHEAD = message("runs_page.looking_ahead", "Looking ahead for every customer …")


def planning(what: Message, share: float) -> Message:
    """Return how far the plan is."""
    return message("runs_page.planning", "{what} ({share})", what=what, share=Percent(share))


STOP = message("runs_page.stop", "Stop and keep the plan so far")
STOPPED = message(
    "runs_page.stopped",
    "You stopped the search: this is the best plan it had by then. It keeps all rules; more time may save "
    "kilometres.",
)
PLAN_AGAIN = message("runs_page.plan_again", "Plan again")
STALE = message(
    "runs_page.stale", "The folder has changed since this plan was made. It stays here until you plan again."
)


def failed(why: Message) -> Message:
    """Return why there is no new plan."""
    return message("runs_page.failed", "No new plan: {why} The plan below is the one from before.", why=why)


# The answer
FACT_NEXT = message("runs_page.fact_next", "Next runs")


def fact_week(days: int) -> Message:
    """Return how many days are planned."""
    return counted_message("runs_page.fact_week", "{n} working day", "All {n} working days", days)


FACT_RISK = message("runs_page.fact_risk", "Stores at risk")
FACT_RING = message("runs_page.fact_ring", "To ring")
FACT_PROMISES = message("runs_page.fact_promises", "Promised, may run low first")
FACT_BUY = message("runs_page.fact_buy", "To buy in this week")
NOTE_RING = message("runs_page.note_ring", "on-request customers running low")
NOTE_PROMISES = message("runs_page.note_promises", "see below")
NONE = message("runs_page.none", "none")
SHEETS_BUTTON = message("runs_page.sheets_button", "Run sheets and delivery notes (PDF)")
SHEETS_HELP = message(
    "runs_page.sheets_help",
    "A page for the office, one for each tanker and day with loads, times and boxes to sign, and a "
    "delivery note for each stop.",
)

# One day
DAYS_TITLE = message("runs_page.days_title", "The runs, day by day")
DAY_FILTER = message("runs_page.day_filter", "Show")
ALL_DAYS = message("runs_page.all_days", "All days")


def day_label(day: Message, stops: int) -> Message:
    """Return a day and its stops, to choose it."""
    return message("runs_page.day_label", "{day} ({stops})", day=day, stops=stops)


RUN_TOLD = message("runs_page.run_told", " Told to the customers: it stays as it is.")
RUN_HEAD = (
    message("runs_page.run_head_stop", "Stop"),
    message("runs_page.run_head_arrives", "Arrives"),
    message("runs_page.run_head_drop", "Drop"),
    message("runs_page.run_head_in_store_before", "In store before"),
    message("runs_page.run_head_why", "Why"),
    message("runs_page.run_head_to_know", "To know"),
)
DAY_SHEETS = message("runs_page.day_sheets", "Run sheets of this day (PDF)")

# Map and loads
MAP_TITLE = message("runs_page.map_title", "Where they go")
MAP_HOW = message(
    "runs_page.map_how",
    "Straight lines from stop to stop, north up; each tanker has its own line and shape, each stop its "
    "number (1.2: second stop of the first run). The tables above say the same.",
)
LOADS_TITLE = message("runs_page.loads_title", "How full they go out")
LOADS_HOW = message(
    "runs_page.loads_how",
    "Bar: what is delivered. Frame: what the chambers could carry on these runs. ×2: two runs that day.",
)
LOADS_TABLE = message("runs_page.loads_table", "The same as a table")
LOADS_HEAD = (
    message("runs_page.loads_head_day_and_tanker", "Day and tanker"),
    message("runs_page.loads_head_delivered", "Delivered"),
    message("runs_page.loads_head_could_carry", "Could carry"),
    message("runs_page.loads_head_full", "Full"),
)
WEEKS_TITLE = message("runs_page.weeks_title", "Tonnes to buy in")
WEEKS_HOW = message(
    "runs_page.weeks_how",
    "Line: the middle of many possible winters. Bar: 8 in 10 of them. What must be delivered if everybody "
    "is filled when the reserve is reached; the first week holds who is below it now.",
)
WEEKS_HEAD = (
    message("runs_page.weeks_head_week_from", "Week from"),
    message("runs_page.weeks_head_to_deliver", "To deliver"),
    message("runs_page.weeks_head_in", "8 in 10"),
)

# Lists
RISK_TITLE = message("runs_page.risk_title", "Who is due")


def risk_lead(day: date) -> Message:
    """Return who is listed."""
    return message(
        "runs_page.risk_lead",
        "Stores you look after that are due by {day}, the most urgent first.",
        day=Day(day),
    )


def risk_none(day: date) -> Message:
    """Return that nobody is due."""
    return message("runs_page.risk_none", "No store you look after is due by {day}.", day=Day(day))


RISK_HEAD = (
    message("runs_page.risk_head_customer", "Customer"),
    message("runs_page.risk_head_deliver_by", "Deliver by"),
    message("runs_page.risk_head_left_now", "Left now"),
    message("runs_page.risk_head_may_run_out", "May run out"),
    message("runs_page.risk_head_on_a_run", "On a run"),
)


def risk_all(count: int) -> Message:
    """Return how many there are in all."""
    return message("runs_page.risk_all", "All {count}", count=count)


AT_ONCE = message("runs_page.at_once", "at once")
LATER = message("runs_page.later", "later")
RING_NONE = message("runs_page.ring_none", "Nobody has to be rung.")
DOUBT_LEAD = message(
    "runs_page.doubt_lead",
    "These readings disagree with what was expected. Ring and ask which is right; a new reading settles "
    "it, and so does the word right or wrong beside it in readings.csv, column checked. Until then days "
    "follow the emptier of the two, amounts the fuller.",
)
PROMISE_NONE = message("runs_page.promise_none", "Every promise should hold.")


def fault_on_run(fault: Message) -> Message:
    """Return what is wrong with a run."""
    return message("runs_page.fault_on_run", "Please look: {text}", text=fault)


# Did they come?
CAME_LEAD = message(
    "runs_page.came_lead",
    "They were published for days that are past, and there is no weigh note yet. Until you say so, their "
    "orders wait, days follow as if nothing had come, and amounts as if all had.",
)
CAME_WHICH = message("runs_page.came_which", "Which drop")
CAME_ANSWER = message("runs_page.came_answer", "What happened")
CAME_KG = message("runs_page.came_kg", "How much, if another amount")
CAME_KG_HELP = message("runs_page.came_kg_help", "Such as 3500 kg or 3.5 t.")
CAME_KG_MISSING = message("runs_page.came_kg_missing", "Write how much came, such as 3500 kg.")
CAME_SAVE = message("runs_page.came_save", "Save the answer")

# Doing
DO_TITLE = message("runs_page.do_title", "Something has changed")
DO_LEAD = message(
    "runs_page.do_lead",
    "Each entry becomes a line in the round's files; then plan again. The last ones can be taken back.",
)
BY = message("runs_page.by", "Your name")
BY_HELP = message(
    "runs_page.by_help",
    "Kept with what you publish or ask for, so that others know whom to ask. It stays for this visit.",
)
DO_KINDS = {
    "publish": message("runs_page.do_publish", "Publish days"),
    "happened": message("runs_page.do_happened", "Something happened"),
    "wish": message("runs_page.do_wish", "Pin, forbid or move a stop"),
}
PUBLISH_LEAD = message(
    "runs_page.publish_lead", "Days whose customers have been told stay as they are when you plan again."
)
PUBLISH_DAYS = message("runs_page.publish_days", "Days")
PUBLISH = message("runs_page.publish", "Mark as published")


def published(count: int) -> Message:
    """Return how many stops were published."""
    return counted_message(
        "runs_page.published",
        "{n} stop now stands in published.csv; it stays as it is when you plan again.",
        "{n} stops now stand in published.csv; they stay as they are when you plan again.",
        count,
    )


PUBLISH_NONE = message("runs_page.publish_none", "Choose at least one day.")
PUBLISH_STALE = message("runs_page.publish_stale", "Plan again first: this plan is older than the folder.")
HAPPENED_WHAT = message("runs_page.happened_what", "What happened")
HAPPENED_KINDS = {
    "failed drop": message("runs_page.happened_kinds_failed_drop", "A drop failed"),
    "tanker out": message("runs_page.happened_kinds_tanker_out", "A tanker is out"),
    "slow roads": message("runs_page.happened_kinds_slow_roads", "Roads are slow"),
    "depot out of stock": message("runs_page.happened_kinds_depot_out_of_stock", "A depot is out of stock"),
}
HAPPENED_DAY = message("runs_page.happened_day", "On")
HAPPENED_UNTIL = message("runs_page.happened_until", "Until (that day included)")
CUSTOMER = message("runs_page.customer", "Customer")
CUSTOMER_HELP = message("runs_page.customer_help", "Number or name, as in the tables above.")


def customer_missing(example: str) -> Message:
    """Return what to write for a customer."""
    return message(
        "runs_page.customer_missing", "Write the customer's number, e.g. {example}.", example=Own(example)
    )


def customer_unknown(text: str, example: str) -> Message:
    """Return that nobody is called so."""
    return message(
        "runs_page.customer_unknown",
        "“{text}” is no customer of this round; write a number such as {example}, or a name.",
        text=Own(text),
        example=Own(example),
    )


def customer_several(text: str, found: Value) -> Message:
    """Return that several are called so."""
    return message(
        "runs_page.customer_several",
        "“{text}” fits several customers: {found}. Write the number.",
        text=Own(text),
        found=found,
    )


REASON = message("runs_page.reason", "Reason")
REASONS = {
    "boiler on": message("runs_page.reasons_boiler_on", "the boiler was on"),
    "no access": message("runs_page.reasons_no_access", "no access"),
    "store full": message("runs_page.reasons_store_full", "the store was full"),
    "nobody there": message("runs_page.reasons_nobody_there", "nobody was there"),
    "credit stop": message("runs_page.reasons_credit_stop", "credit stop"),
    "other": message("runs_page.reasons_other", "another"),
}
TANKER = message("runs_page.tanker", "Tanker")
DEPOT = message("runs_page.depot", "Depot")
KLASS = message("runs_page.klass", "Class")
ANY_KLASS = message("runs_page.any_klass", "every class")
FACTOR = message("runs_page.factor", "Driving takes how many times as long")
FACTOR_HELP = message("runs_page.factor_help", "2 for twice as long; 1 to 10.")
FACTOR_WRONG = message("runs_page.factor_wrong", "Write a number from 1 to 10, e.g. 2 for twice as long.")
WHY = message("runs_page.why", "Why (may be left out)")
WISH_WHAT = message("runs_page.wish_what", "What")
WISH_KINDS = {
    "pin": message("runs_page.wish_kinds_pin", "Serve on this day"),
    "move": message("runs_page.wish_kinds_move", "Move to this day"),
    "forbid": message("runs_page.wish_kinds_forbid", "Not on this day, or not by this tanker"),
}
WISH_DAY = message("runs_page.wish_day", "Day")
WISH_NEEDS = message("runs_page.wish_needs", "Choose a day.")
WISH_NEEDS_ONE = message("runs_page.wish_needs_one", "Choose a day, a tanker, or both.")
BACKWARDS = message("runs_page.backwards", "The last day lies before the first.")
DAY_MISSING = message("runs_page.day_missing", "Choose a day.")
SAVE = message("runs_page.save", "Note it")
SAVED = message(
    "runs_page.saved",
    "Noted. Plan again when you have noted everything; the last entry can be taken back below.",
)
TAKE_BACK_WHICH = message("runs_page.take_back_which", "Take one back, however old")
TAKE_BACK_NONE = message("runs_page.take_back_none", "Choose a line")
TAKE_BACK = message("runs_page.take_back", "Take this line back")


def take_back_gone(what: Message) -> Message:
    """Return that a line is not there any more."""
    return message(
        "runs_page.take_back_gone",
        "This line has gone, or was changed by somebody else: {what}. So nothing was taken out.",
        what=what,
    )


TAKE_BACK_CHOOSE = message("runs_page.take_back_choose", "Choose the line to take back.")


def taken_back(what: Message) -> Message:
    """Return what was undone."""
    return message("runs_page.taken_back", "Undone: {what}. Plan again to see what that changes.", what=what)


def to_plan(wishes: int, happenings: int) -> Message:
    """Return what is noted in the folder."""
    return message(
        "runs_page.to_plan",
        "{wishes} and {happenings} are noted in the folder.",
        wishes=counted_message("runs_page.wishes", "{n} wish", "{n} wishes", wishes),
        happenings=counted_message("runs_page.happenings", "{n} happening", "{n} happenings", happenings),
    )


# Downloads
FILES_TITLE = message("runs_page.files_title", "Take it along")
FILES_CSV = message("runs_page.files_csv", "Stops (CSV)")
FILES_GEOJSON = message("runs_page.files_geojson", "Routes (GeoJSON)")
FILES_CALENDAR = message("runs_page.files_calendar", "Calendar (.ics)")
CALENDAR_OF = message("runs_page.calendar_of", "Calendar of")
ALL_TANKERS = message("runs_page.all_tankers", "all tankers")

# Faults
FAULTY_ROWS = message("runs_page.faulty_rows", "Some rows of this round cannot be used")
FAULTY_LEAD = message(
    "runs_page.faulty_lead",
    "Nothing was changed. Correct them in a spreadsheet, or go on with the sound rows alone.",
)
SOUND_ONLY = message("runs_page.sound_only", "Go on with the sound rows alone")


def left_out(count: int) -> Message:
    """Return how many rows are not used."""
    return counted_message(
        "runs_page.left_out", "{n} row with faults is left out.", "{n} rows with faults are left out.", count
    )


def emptied(count: int) -> Message:
    """Return how many cells are read as empty."""
    return counted_message(
        "runs_page.emptied",
        "{n} faulty cell that may be empty is read as empty.",
        "{n} faulty cells that may be empty are read as empty.",
        count,
    )


ORIGIN_TITLE = message("runs_page.origin_title", "Where this comes from")


def origin_seed(seed: int) -> Message:
    """Return when the plan comes out the same."""
    return message(
        "runs_page.origin_seed",
        "The same folder, day and seed ({seed}) give the same plan, unless the search was stopped.",
        seed=Own(str(seed)),
    )


def origin_plan(plan: str) -> Message:
    """Return by what name the plan is published."""
    return message(
        "runs_page.origin_plan",
        "This plan is {plan}: it is published only while nothing that it was made from has changed.",
        plan=Own(plan),
    )


def origin_moves(moves: int) -> Message:
    """Return how much was tried."""
    return counted_message(
        "runs_page.origin_moves",
        "The search tried {n} change of the plan.",
        "The search tried {n} changes of the plan.",
        moves,
    )


def every_draw(draws: int, winters: int) -> Message:
    """Return what stands behind every date."""
    return counted_message(
        "runs_page.every_draw",
        "{n} draw over {winters} real winters, which all customers share, stands behind every date.",
        "{n} draws over {winters} real winters, which all customers share, stand behind every date.",
        draws,
        winters=winters,
    )
