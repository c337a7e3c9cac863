"""The planner's core on classical inventory-routing instances: ``python -m
tests.benchmarks.inventory_routing``."""
