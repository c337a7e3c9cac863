"""A supplier's days: outlook, roads, driver hours, routing, run plan, replay."""
