"""Houses played through past winters: the optimum beside simple rules, for tests and benchmarks."""
