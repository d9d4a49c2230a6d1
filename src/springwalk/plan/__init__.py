"""The day: candidates, minutes and people in; an order out, with a bound, and a replay that proves it feasible."""
