"""A supplier's customers, and the lines that a dispatcher keeps beside them, as plain arrays and records."""

from fuelplan.dispatch.books.customers import Customers as Customers
from fuelplan.dispatch.books.customers import day_of as day_of
from fuelplan.dispatch.books.histories import Deliveries as Deliveries
from fuelplan.dispatch.books.histories import Readings as Readings
from fuelplan.dispatch.books.rows import Breaks as Breaks
from fuelplan.dispatch.books.rows import Chambers as Chambers
from fuelplan.dispatch.books.rows import Happening as Happening
from fuelplan.dispatch.books.rows import Order as Order
from fuelplan.dispatch.books.rows import OrderRow as OrderRow
from fuelplan.dispatch.books.rows import PublishedStop as PublishedStop
from fuelplan.dispatch.books.rows import Wish as Wish
from fuelplan.dispatch.books.rows import credit_stopped as credit_stopped
from fuelplan.dispatch.books.rows import served_orders as served_orders
from fuelplan.dispatch.books.rows import serves as serves
