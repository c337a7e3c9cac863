"""The buffer: how large by each rule, how much heat it holds, and when to light next."""

from fuelplan.store.buffer.lighting import LightNext as LightNext
from fuelplan.store.buffer.lighting import light_next as light_next
from fuelplan.store.buffer.rules import LITRES_PER_CHAMBER_LITRE as LITRES_PER_CHAMBER_LITRE
from fuelplan.store.buffer.rules import SizeRule as SizeRule
from fuelplan.store.buffer.rules import litres_en_303_5 as litres_en_303_5
from fuelplan.store.buffer.rules import litres_eu_test as litres_eu_test
from fuelplan.store.buffer.rules import litres_german_ordinance as litres_german_ordinance
from fuelplan.store.buffer.rules import size_rules as size_rules
from fuelplan.store.buffer.tank import Buffer as Buffer
from fuelplan.store.buffer.tank import BufferError as BufferError
from fuelplan.store.buffer.tank import heat_held_kwh as heat_held_kwh
