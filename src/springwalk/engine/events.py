"""Dates and signs of what makes a walk without any moth: cold rain, crust, frost, heat since planting."""
