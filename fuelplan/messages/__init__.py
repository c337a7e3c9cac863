"""What is said, as data: a code, an English template and named values; faces make text of them.

A room says `message("order.may_come", "The tanker may come on {day}.", day=Day(day))` and hands that on. A
face makes text of it with :func:`render`, for a language, a unit system and an order of dates. How to say
something new is in DEVELOPERS.md.
"""

from fuelplan.messages.catalogue import spoken as spoken
from fuelplan.messages.documents import SCHEMA as SCHEMA
from fuelplan.messages.documents import in_document as in_document
from fuelplan.messages.faults import Fault as Fault
from fuelplan.messages.faults import Faults as Faults
from fuelplan.messages.faults import Refusal as Refusal
from fuelplan.messages.faults import said_by as said_by
from fuelplan.messages.keeping import kept as kept
from fuelplan.messages.keeping import said_again as said_again
from fuelplan.messages.message import Message as Message
from fuelplan.messages.message import Said as Said
from fuelplan.messages.message import as_message as as_message
from fuelplan.messages.message import codes as codes
from fuelplan.messages.message import counted_message as counted_message
from fuelplan.messages.message import message as message
from fuelplan.messages.message import paragraph as paragraph
from fuelplan.messages.message import parts as parts
from fuelplan.messages.message import strict as strict
from fuelplan.messages.rendering import as_text as as_text
from fuelplan.messages.rendering import locale_of as locale_of
from fuelplan.messages.rendering import render as render
from fuelplan.messages.values import Chance as Chance
from fuelplan.messages.values import Day as Day
from fuelplan.messages.values import Days as Days
from fuelplan.messages.values import Limits as Limits
from fuelplan.messages.values import Listed as Listed
from fuelplan.messages.values import Money as Money
from fuelplan.messages.values import Month as Month
from fuelplan.messages.values import Number as Number
from fuelplan.messages.values import Own as Own
from fuelplan.messages.values import Per as Per
from fuelplan.messages.values import Percent as Percent
from fuelplan.messages.values import Price as Price
from fuelplan.messages.values import Quantity as Quantity
from fuelplan.messages.values import Range as Range
from fuelplan.messages.values import Sides as Sides
from fuelplan.messages.values import TimeOfDay as TimeOfDay
from fuelplan.messages.values import Value as Value
