"""When a tanker arrives, when its driver must rest, and what of a day's run breaks the rules.

The rules are settings; the defaults are the European ones (values from memory, so check them against the
text):

- Regulation (EC) No 561/2006, Article 6: 9 hours of driving a day. Article 7: after 4½ hours of it a
  break of 45 minutes, which may be taken as 15 and then 30. Article 8 leaves 13 hours between two rests.
- Directive 2002/15/EC, Article 5: no more than six hours of work – driving, blowing and loading together –
  without a break; 30 minutes of break in all on a day with more than six hours of work, 45 with more than
  nine; each piece 15 minutes at least.

**Waiting** at a gate that is still shut counts as a break when it lasts 15 minutes or more in one piece,
because the driver knows beforehand how long it will be and is free of the lorry (common practice; where your
contract or law says otherwise, set `waiting_is_break` to False). Shorter waiting counts as nothing. A break
of 45 minutes starts a new 4½ hours; one of 15 to 44 minutes counts as the first part, and then 30 are enough.
Any piece of 15 minutes starts a new six hours.

This plans a day; it is no tachograph and no legal advice.
"""

from fuelplan.dispatch.driver_hours.day import Break
from fuelplan.dispatch.driver_hours.rules import NO_RULES, Rules, Window
from fuelplan.dispatch.driver_hours.times import LATE, Breach, Timetable, timetable

__all__ = ["LATE", "NO_RULES", "Breach", "Break", "Rules", "Timetable", "Window", "timetable"]
