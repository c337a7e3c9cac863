"""A supplier's round, opened."""

from fuelplan.records.round import Round, is_round, open_round, table_of_round

__all__ = ["Round", "is_round", "open_round", "table_of_round"]
