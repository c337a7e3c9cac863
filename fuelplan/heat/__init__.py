"""What the building needs and what the boiler makes of fuel."""
