"""Every text of the dispatcher's page."""

from __future__ import annotations

PERSON = "You send out the tankers"
QUESTION = "Which runs this week?"
PROMISE = (
    "Whom to serve on which day with which tanker, whom to ring, which promise is in danger, and how many "
    "tonnes to buy in."
)
OPEN = "See the runs →"

# Which round, which day
ROUND = "Round"
ROUND_HELP = "Folders with a round.toml: the one given at the start, and the demo round."
DAY = "Plan as of the evening of"
CHANGE = "Round, day and units"
NO_ROUND_TITLE = "No round to show yet"
NO_ROUND = "Start with a folder that holds a round.toml, for example: fuelplan app my_round"
DEMO = "{name} (demo)"
COPY = "{name} (copy to try things on)"
DEMO_NOTE = (
    "A demo with invented customers and weather, played on {day}. To publish runs or note what happened, try "
    "on a copy: it lives until the program ends."
)
DEMO_COPY = "Make a copy to try things on"
COPIED = "This is your copy of {name}: try anything, the demo itself stays as it is."

# Work
READING_ROUND = "Reading the round …"
WAITING = "Another plan is being worked out first …"
LOOKING_AHEAD = "Looking ahead for every customer …"
PLANNING = "{what} ({share:.0%})"
STOP = "Stop and keep the plan so far"
STOPPED = (
    "You stopped the search: this is the best plan it had by then. It keeps all rules; more time may save "
    "kilometres."
)
PLAN_AGAIN = "Plan again"
STALE = "The folder has changed since this plan was made. It stays here until you plan again."
FAILED = "No new plan: {why} The plan below is the one from before."

# The answer
FIRST_DAY = "{day}: {runs}, {stops}, {amount}, about {road}."
NO_RUNS = "Nobody has to be served until {day}."
NEXT_RUNS = "No run on {first}. The next: {day}, {stops}, {amount}."
FACT_NEXT = "Next runs"
FACT_WEEK = "All {days} working days"
FACT_RISK = "Stores at risk"
FACT_RING = "To ring"
FACT_PROMISES = "Promises in danger"
FACT_BUY = "To buy in this week"
NOTE_NEXT = "{runs}, room for {free} more"
NOTE_WEEK = "{road}, {each} for each tonne"
NOTE_RISK = "{count} due by {day}"
NOTE_RING = "on-request customers running low"
NOTE_PROMISES = "see below"
NOTE_BUY = "8 in 10: {span}"
EACH_KM = "{value:.1f} {unit}"
NONE = "none"
SHEETS_BUTTON = "Run sheets and delivery notes (PDF)"
SHEETS_HELP = (
    "A page for the office, one for each tanker and day with loads, times and boxes to sign, and a delivery "
    "note for each stop."
)
FILE = "runs-{round}-{day}.{ending}"

# One day
DAYS_TITLE = "The runs, day by day"
DAY_FILTER = "Show"
ALL_DAYS = "All days"
DAY_LABEL = "{day} ({stops})"
DAY_EMPTY = "No run on this day; the tankers have room for {free}."
DAY_TOTALS = "{stops}, {amount}, {road}, {hours:.1f} hours{overtime}; room for {free} more."
OVERTIME = " ({hours:.1f} of them overtime)"
RUN_TITLE = "{tanker}, run {trip}: leave {depot} {leave}, back by {back}"
RUN_TITLE_DAY = "{day} · {tanker}, run {trip}: leave {depot} {leave}, back by {back}"
RUN_LINE = "{amount}, {road}. Chambers: {chambers}.{breaks}{told}"
RUN_BREAKS = " Breaks: {breaks}."
RUN_TOLD = " Told to the customers: it stays as it is."
CHAMBER = "{grade} {amount} of {holds}"
CHAMBER_EMPTY = "empty of {holds}"
RUN_HEAD = ("Stop", "Arrives", "Drop", "In store before", "Why", "To know")
STOP_NAME = "{position}. {name}"
STOP_NAME_ID = "{position}. {name} ({customer})"
STOP_ORDER = "order {order}"
STOP_RING = "ring first: {phone}"
NO_PHONE = "no number known"
STOP_TOLD = "told {first} to {last}"
STOP_HOSE = "hose {length}"
DAY_SHEETS = "Run sheets of this day (PDF)"

# Map and loads
MAP_TITLE = "Where they go"
MAP_HOW = (
    "Straight lines from stop to stop, north up; each tanker has its own line and shape, each stop its "
    "number (1.2: second stop of the first run). The tables above say the same."
)
LOADS_TITLE = "How full they go out"
LOADS_HOW = (
    "Bar: what is delivered. Frame: what the chambers could carry on these runs. ×2: two runs that day."
)
LOADS_TABLE = "The same as a table"
LOADS_HEAD = ("Day and tanker", "Delivered", "Could carry", "Full")
WEEKS_TITLE = "Tonnes to buy in"
WEEKS_HOW = (
    "Line: the middle of many possible winters. Bar: 8 in 10 of them. What must be delivered if everybody is "
    "filled when the reserve is reached; the first week holds who is below it now."
)
WEEKS_HEAD = ("Week from", "To deliver", "8 in 10")

# Lists
RISK_TITLE = "Who is due"
RISK_LEAD = "Stores you look after that are due by {day}, the most urgent first."
RISK_NONE = "No store you look after is due by {day}."
RISK_HEAD = ("Customer", "Deliver by", "Left now", "May run out", "On a run")
RISK_ALL = "All {count}"
AT_ONCE = "at once"
LATER = "later"
ON_NO_RUN = "on no run"
ON_RUN = "{day}, {tanker}"
RING_TITLE = "Whom to ring"
RING_NONE = "Nobody has to be rung."
RING_HEAD = ("Customer", "Telephone", "Why", "Deliver by", "Would fit")
DOUBT_TITLE = "Whose reading to ask about"
DOUBT_LEAD = (
    "These readings disagree with what was expected. Ring and ask which is right; a new reading settles it, "
    "and so does the word right or wrong beside it in readings.csv, column checked. Until then days follow "
    "the emptier of the two, amounts the fuller."
)
DOUBT_HEAD = ("Customer", "Telephone", "Read on", "Reading", "Expected")
CALLS_TITLE = "Call before the stop"
CALLS_HEAD = ("Customer", "Telephone", "Why", "Deliver by", "Drop")
PROMISE_TITLE = "Promises in danger"
PROMISE_NONE = "Every promise should hold."
PROMISE_HEAD = ("Order", "Customer", "Promised by", "Planned for", "Why")
LEFT_TITLE = "On no run"
LEFT_HEAD = ("Customer", "Order", "Why")
CHANGES_TITLE = "Changed against what was published"
FAULTS_ON_RUN = "Please look: {text}"

# Did they come?
CAME_TITLE = "Did these drops come?"
CAME_LEAD = (
    "They were published for days that are past, and there is no weigh note yet. Until you say so, their "
    "orders wait, days follow as if nothing had come, and amounts as if all had."
)
CAME_HEAD = ("Published for", "Customer", "Order", "Drop", "Tanker")
CAME_WHICH = "Which drop"
CAME_ANSWER = "What happened"
CAME_ANSWERS = {
    "came": "It came; the weigh note follows",
    "other_amount": "Another amount came",
    "did_not_come": "It did not come",
}
CAME_KG = "How much, if another amount"
CAME_KG_HELP = "Such as 3500 kg or 3.5 t."
CAME_KG_MISSING = "Write how much came, such as 3500 kg."
CAME_SAVE = "Save the answer"
WISHES_TITLE = "Wishes that cannot be kept"
WISHES_HEAD = ("Customer", "Wish", "Day", "Tanker", "Why")

# Doing
DO_TITLE = "Something has changed"
DO_LEAD = "Each entry becomes a line in the round's files; then plan again. The last ones can be taken back."
BY = "Your name"
BY_HELP = "Kept with what you publish or ask for, so that others know whom to ask. It stays for this visit."
DO_PUBLISH = "Publish days"
DO_HAPPENED = "Something happened"
DO_WISH = "Pin, forbid or move a stop"
PUBLISH_LEAD = "Days whose customers have been told stay as they are when you plan again."
PUBLISH_DAYS = "Days"
PUBLISH = "Mark as published"
PUBLISHED = "{count} stops now stand in published.csv; they stay as they are when you plan again."
PUBLISH_NONE = "Choose at least one day."
PUBLISH_STALE = "Plan again first: this plan is older than the folder."
HAPPENED_WHAT = "What happened"
HAPPENED_KINDS = {
    "failed drop": "A drop failed",
    "tanker out": "A tanker is out",
    "slow roads": "Roads are slow",
    "depot out of stock": "A depot is out of stock",
}
HAPPENED_DAY = "On"
HAPPENED_UNTIL = "Until (that day included)"
CUSTOMER = "Customer"
CUSTOMER_HELP = "Number or name, as in the tables above."
CUSTOMER_MISSING = "Write the customer's number, e.g. {example}."
CUSTOMER_UNKNOWN = "“{text}” is no customer of this round; write a number such as {example}, or a name."
CUSTOMER_SEVERAL = "“{text}” fits several customers: {found}. Write the number."
REASON = "Reason"
REASONS = {
    "boiler on": "the boiler was on",
    "no access": "no access",
    "store full": "the store was full",
    "nobody there": "nobody was there",
    "credit stop": "credit stop",
    "other": "another",
}
TANKER = "Tanker"
ANY_TANKER = "any"
DEPOT = "Depot"
KLASS = "Class"
ANY_KLASS = "every class"
FACTOR = "Driving takes how many times as long"
FACTOR_HELP = "2 for twice as long; 1 to 10."
FACTOR_WRONG = "Write a number from 1 to 10, e.g. 2 for twice as long."
WHY = "Why (may be left out)"
WISH_WHAT = "What"
WISH_KINDS = {
    "pin": "Serve on this day",
    "move": "Move to this day",
    "forbid": "Not on this day, or not by this tanker",
}
WISH_DAY = "Day"
WISH_NEEDS = "Choose a day."
WISH_NEEDS_ONE = "Choose a day, a tanker, or both."
BACKWARDS = "The last day lies before the first."
DAY_MISSING = "Choose a day."
SAVE = "Note it"
SAVED = "Noted. Plan again when you have noted everything; the last entry can be taken back below."
TAKE_BACK_WHICH = "Take one back, however old"
TAKE_BACK_NONE = "Choose a line"
TAKE_BACK = "Take this line back"
TAKE_BACK_GONE = "This line has gone, or was changed by somebody else: {what}. So nothing was taken out."
TAKE_BACK_CHOOSE = "Choose the line to take back."
TAKEN_BACK = "Undone: {what}. Plan again to see what that changes."
TO_PLAN = "{wishes} and {happenings} are noted in the folder."

# Downloads
FILES_TITLE = "Take it along"
FILES_CSV = "Stops (CSV)"
FILES_GEOJSON = "Routes (GeoJSON)"
FILES_CALENDAR = "Calendar (.ics)"
CALENDAR_OF = "Calendar of"
ALL_TANKERS = "all tankers"

# Faults
FAULTY_ROWS = "Some rows of this round cannot be used"
FAULTY_LEAD = "Nothing was changed. Correct them in a spreadsheet, or go on with the sound rows alone."
SOUND_ONLY = "Go on with the sound rows alone"
LEFT_OUT = "{count} rows with faults are left out."
EMPTIED = "{count} faulty cells that may be empty are read as empty."
ORIGIN_TITLE = "Where this comes from"
ORIGIN_SEED = "The same folder, day and seed ({seed}) give the same plan, unless the search was stopped."
ORIGIN_PLAN = "This plan is {plan}: it is published only while nothing that it was made from has changed."
ORIGIN_MOVES = "The search tried {moves:,} changes of the plan."
EVERY_DRAW = (
    "{draws:,} draws over {winters} real winters, which all customers share, stand behind every date."
)
COUNTED = {
    "run": ("1 run", "{n} runs"),
    "stop": ("1 stop", "{n} stops"),
    "customer": ("1 customer", "{n} customers"),
    "store": ("1 store", "{n} stores"),
    "promise": ("1 promise", "{n} promises"),
    "wish": ("1 wish", "{n} wishes"),
    "happening": ("1 happening", "{n} happenings"),
}


def counted(number: int, what: str) -> str:
    """Return a number with its noun."""
    one, many = COUNTED[what]
    return one if number == 1 else many.format(n=f"{number:,}")
